"""Overruling a rest warning: kept beside the verdict, taken back, and lapsed when the ground is worse."""

from datetime import UTC, date, datetime

import pytest

from plots.changes import StaleRow
from plots.ground_services import ground_check
from plots.holding_selectors import plot_lines
from plots.models import GroundVerdict, Sowing
from plots.outlines import rectangle
from plots.sowing_services import sowing_change
from plots.verdict_selectors import ground_warned
from plots.verdict_services import verdict_overrule, verdict_overrule_take_back
from society.models import JournalEntry
from tests import factories
from tests.factories import Cast
from tests.plots.refusals import refused

SINCE, TODAY = date(2015, 1, 1), date(2027, 4, 12)
NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
REASON = "Fresh topsoil went on in March."


@pytest.fixture
def cast(db: None) -> Cast:
    return factories.make_cast(since=SINCE, normals=False)


def lifted(cast: Cast, season: int, **fields) -> Sowing:
    days = {"sown_on": date(season, 4, 1), "ended_on": date(season, 8, 1)}
    return factories.make_sowing(cast.bed, season=season, state="lifted", **days, **fields)


def warned(cast: Cast, *, last: int) -> GroundVerdict:
    """Carrots planned where carrots stood in a season gone by."""
    lifted(cast, last)
    factories.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    return GroundVerdict.objects.get(sowing__season=2027)


def overrule(cast: Cast, verdict: GroundVerdict, **fields) -> GroundVerdict:
    wish = {"reason": REASON, "member": cast.dee, "account": cast.dee_account, "now": NOW, **fields}
    return verdict_overrule(verdict=verdict, **wish)


def warnings(cast: Cast) -> list[int]:
    return [line.rest_warnings for line in plot_lines(cast.site, on=TODAY)]


def test_the_verdict_stays_beside_its_overruling(cast: Cast) -> None:
    kept = overrule(cast, warned(cast, last=2026))

    assert (kept.level, kept.overruled_because, kept.overruled_by) == ("broken", REASON, cast.dee)
    assert warnings(cast) == [0, 0]
    assert kept in ground_warned(cast.site, season=2027)


def test_the_journal_knows_who_overruled_and_keeps_no_words(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2026))

    entry = JournalEntry.objects.get(action="verdict.overruled")
    assert (entry.account_id_then, entry.values["plot"]) == (cast.dee_account.pk, cast.plot.pk)
    assert entry.subject_id == str(verdict.pk)
    assert "topsoil" not in str(entry.values)


@pytest.mark.parametrize("reason", ["", "no need", "          x        "])
def test_a_reason_too_short_to_be_understood_is_refused(cast: Cast, reason: str) -> None:
    verdict = warned(cast, last=2026)

    faults = refused(overrule, cast=cast, verdict=verdict, reason=reason)

    assert "10 letters or more" in faults["reason"]
    assert GroundVerdict.objects.get().overruled_at is None


def test_what_is_no_warning_cannot_be_overruled(cast: Cast) -> None:
    factories.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)

    faults = refused(overrule, cast=cast, verdict=GroundVerdict.objects.get())

    assert "nothing to overrule" in faults["verdict"]


def test_a_warning_is_overruled_once(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2026))

    assert "already" in refused(overrule, cast=cast, verdict=verdict)["verdict"]


def test_another_level_than_the_page_showed_was_not_decided_on(cast: Cast) -> None:
    verdict = warned(cast, last=2026)

    with pytest.raises(StaleRow):
        overrule(cast, verdict, level_seen="short")


def test_an_overruling_can_be_taken_back(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2026))

    back = verdict_overrule_take_back(verdict=verdict, account=cast.dee_account, now=NOW)

    assert (back.overruled_at, back.overruled_because, back.overruled_by) == (None, "", None)
    assert warnings(cast) == [1, 0]
    assert JournalEntry.objects.filter(action="verdict.overruling_taken_back").count() == 1


def test_what_was_never_overruled_cannot_be_taken_back(cast: Cast) -> None:
    verdict = warned(cast, last=2026)

    faults = refused(verdict_overrule_take_back, verdict=verdict, account=None, now=NOW)

    assert "nobody overruled" in faults["verdict"]


def test_judging_the_same_again_leaves_the_overruling_standing(cast: Cast) -> None:
    overrule(cast, warned(cast, last=2026))

    ground_check(site=cast.site, now=NOW)

    assert GroundVerdict.objects.get().is_overruled


def test_an_overruling_lapses_when_the_ground_is_judged_worse(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2022))
    assert verdict.level == "short"
    lifted(cast, 2026)

    ground_check(site=cast.site, now=NOW)

    verdict.refresh_from_db()
    assert (verdict.level, verdict.overruled_level, verdict.overruled_because) == ("broken", "short", REASON)
    assert (verdict.is_overruled, warnings(cast)) == (False, [1, 0])


def test_it_holds_again_when_the_ground_is_judged_as_before(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2022))
    slip = lifted(cast, 2026)
    ground_check(site=cast.site, now=NOW)
    slip.delete()

    ground_check(site=cast.site, now=NOW)

    verdict.refresh_from_db()
    assert verdict.is_overruled


def test_a_lapsed_overruling_can_be_given_anew(cast: Cast) -> None:
    verdict = overrule(cast, warned(cast, last=2022))
    lifted(cast, 2026)
    ground_check(site=cast.site, now=NOW)

    again = overrule(cast, verdict, reason="The bed was dug out and refilled.")

    assert (again.overruled_level, again.is_overruled, warnings(cast)) == ("broken", True, [0, 0])


def test_an_overruling_does_not_follow_a_plan_to_other_ground(cast: Cast) -> None:
    factories.make_sowing(cast.bed, "turnip", season=2026, state="lifted")
    verdict = overrule(cast, warned(cast, last=2026))
    sowing = Sowing.objects.get(season=2027)

    sowing_change(
        sowing=sowing, version=None, account=None, now=NOW,
        place=rectangle((1, 1), length_m=2, width_m=1.2),
    )  # fmt: skip

    verdict.refresh_from_db()
    assert (verdict.level, verdict.is_overruled) == ("broken", False)


def test_an_overruling_does_not_pass_to_another_family(cast: Cast) -> None:
    factories.make_sowing(cast.bed, "turnip", season=2026, state="lifted")
    verdict = overrule(cast, warned(cast, last=2026))

    sowing_change(
        sowing=Sowing.objects.get(season=2027), version=None, account=None, now=NOW, crop_key="radish"
    )

    verdict.refresh_from_db()
    assert (verdict.level, verdict.is_overruled) == ("broken", False)
