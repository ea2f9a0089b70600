"""Overruling a rest warning. The verdict and the overruling are both kept, side by side."""

from datetime import datetime

from django.core.exceptions import ValidationError

from plots.changes import Faults, StaleRow, note, site_held
from plots.crops import crop as crop_of
from plots.models import GroundVerdict, Sowing
from plots.rotation import Level
from plots.verdict_selectors import WARNING_LEVELS
from society.models import Account, Member

SHORTEST_REASON = 10
LONGEST_REASON = 400
OVERRULING_FIELDS = (
    "overruled_by",
    "overruled_at",
    "overruled_because",
    "overruled_level",
    "overruled_family",
    "overruled_patch_then",
    "overruling_lapsed",
)


def verdict_overrule(
    *,
    verdict: GroundVerdict,
    reason: str,
    member: Member | None,
    account: Account | None,
    now: datetime,
    level_seen: str | None = None,
) -> GroundVerdict:
    """Allow a sowing on ground that is short of rest. It lapses when the ground is judged worse later.

    ``level_seen`` is what the page showed; another level by now is refused, for it was not decided on.
    """
    with site_held(verdict.sowing.patch.site):
        fresh = _fresh(verdict)
        if level_seen is not None and level_seen != fresh.level:
            raise StaleRow(fresh, ("level",))
        because = " ".join(reason.split())
        _refuse(fresh, because)
        fresh.overruled_by, fresh.overruled_at, fresh.overruled_because = member, now, because
        fresh.overruled_level, fresh.overruling_lapsed = fresh.level, False
        fresh.overruled_family = crop_of(fresh.sowing.crop).family
        fresh.overruled_patch_then = fresh.sowing.patch_id
        fresh.save(update_fields=OVERRULING_FIELDS)
        note(
            fresh, "verdict.overruled", account=account, now=now, level=fresh.level,
            sowing=fresh.sowing_id, plot=fresh.sowing.patch.plot_id, crop=fresh.sowing.crop,
            member=member.pk if member else None,
        )  # fmt: skip
    return fresh


def verdict_overrule_take_back(
    *, verdict: GroundVerdict, account: Account | None, now: datetime
) -> GroundVerdict:
    """Let the warning stand again. The journal keeps that it was overruled, and when."""
    with site_held(verdict.sowing.patch.site):
        fresh = _fresh(verdict)
        if fresh.overruled_at is None:
            raise ValidationError({"verdict": "nobody overruled this warning, or it was taken back already"})
        fresh.overruled_by = fresh.overruled_at = fresh.overruled_patch_then = None
        fresh.overruled_because = fresh.overruled_level = fresh.overruled_family = ""
        fresh.overruling_lapsed = False
        fresh.save(update_fields=OVERRULING_FIELDS)
        note(
            fresh, "verdict.overruling_taken_back", account=account, now=now, level=fresh.level,
            sowing=fresh.sowing_id, plot=fresh.sowing.patch.plot_id, crop=fresh.sowing.crop,
        )  # fmt: skip
    return fresh


def is_lapsed(stored: GroundVerdict, sowing: Sowing, *, level: str) -> bool:
    """Whether an overruling no longer covers a sowing: judged worse, of another family, or moved."""
    if stored.overruled_at is None:
        return False
    return (
        Level(level).severity > Level(stored.overruled_level or level).severity
        or stored.overruled_family not in {"", crop_of(sowing.crop).family}
        or stored.overruled_patch_then not in {None, sowing.patch_id}
    )


def _fresh(verdict: GroundVerdict) -> GroundVerdict:
    links = ("sowing__patch__plot", "sowing__patch__site", "overruled_by")
    return GroundVerdict.objects.select_related(*links).get(pk=verdict.pk)


def _refuse(verdict: GroundVerdict, because: str) -> None:
    faults = Faults()
    if verdict.level not in WARNING_LEVELS:
        faults.add("verdict", f"the ground is judged {verdict.level} now, so there is nothing to overrule")
    elif verdict.is_overruled:
        faults.add("verdict", "somebody overruled this warning already; take that back first")
    if len(because) < SHORTEST_REASON:
        faults.add(
            "reason",
            f"give the reason in {SHORTEST_REASON} letters or more, so that it can be understood years later",
        )
    if len(because) > LONGEST_REASON:
        faults.add("reason", f"say it in {LONGEST_REASON} letters; these are {len(because)}")
    faults.refuse()
