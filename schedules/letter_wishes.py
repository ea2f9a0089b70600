"""What members want to be sent, and in which zone their hour counts. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from zoneinfo import ZoneInfo

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import QuerySet

from plots.models import Plot
from plots.selectors import open_on
from society.models import LetterPreference, Member
from society.zones import zone


@dataclass(frozen=True, slots=True)
class Ground:
    """The plots that a member works on a day, and the zones of their sites."""

    plots: set[int] = field(default_factory=set)
    site_zones: dict[int, str] = field(default_factory=dict)

    def zone(self, member: Member) -> ZoneInfo:
        """The member's own zone if they chose one, else the site's; the society's with several, or none."""
        own = wishes_of(member).zone
        zones = list(self.site_zones.values())
        return zone(own or (zones[0] if len(zones) == 1 else member.society.zone))


def people_with_mail() -> QuerySet[Member]:
    """Active members whose address takes letters, with their wishes."""
    rows = Member.objects.filter(left_on__isnull=True, died_on__isnull=True, email_refused_at__isnull=True)
    return rows.exclude(email="").select_related("society", "letters_wanted")


def ground_of(members: Iterable[Member], *, on: date) -> dict[int, Ground]:
    """Each member's ground on a day, by member, in two queries however many members there are."""
    people = [member.pk for member in members]
    ground: dict[int, Ground] = defaultdict(Ground)
    for period, person in (("tenancies", "tenancies__holders"), ("co_workers", "co_workers__member")):
        worked = Plot.objects.filter(open_on(on, period), **{f"{person}__in": people})
        for member, plot, site, name in worked.values_list(person, "pk", "site", "site__zone"):
            ground[member].plots.add(plot)
            ground[member].site_zones[site] = name
    return ground


def wishes_of(member: Member) -> LetterPreference:
    """A member's wishes; who never said anything gets what the preference page starts with."""
    try:
        return member.letters_wanted
    except ObjectDoesNotExist:
        return LetterPreference(member=member)
