"""Beginning a society: the body, its first site, and the first hand that may let the others in."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse

from plots.models import Site
from plots.site_services import site_create
from schedules.invitation_services import invitation_make
from society import clock
from society.changes import note, row_check
from society.invitation_tokens import token_of
from society.member_services import member_add, seat_begin
from society.models import Invitation, Society
from society.zones import zone as zone_of


@dataclass(frozen=True, slots=True)
class Founded:
    society: Society
    site: Site
    invitation: Invitation

    @property
    def link(self) -> str:
        """The first committee member's way in. It works once and expires; it is shown and not stored."""
        return settings.PUBLIC_URL + reverse("invitation", args=[token_of(self.invitation)])


@transaction.atomic
def society_begin(
    *,
    name: str,
    zone: str,
    site_name: str,
    latitude: float,
    longitude: float,
    first_name: str,
    first_email: str,
    office: str,
    now: datetime,
) -> Founded:
    """Lay down the society, one site and one committee member with an invitation.

    Raises ValidationError where this server has a society already: it holds one.
    """
    if Society.objects.exists():
        raise ValidationError(
            {"name": "this server has its society already; use its pages, or a new data folder"}
        )
    society = Society(name=name.strip(), zone=zone)
    row_check(society)
    society.save()
    note(society, "society.begun", account=None, now=now)
    site = site_create(
        society=society, name=site_name, latitude=latitude, longitude=longitude, account=None, now=now
    )
    today = clock.local_date(now, zone_of(zone))
    member = member_add(
        society=society, name=first_name, email=first_email, joined_on=today, account=None, now=now
    )
    seat_begin(member=member, office=office, since=today, account=None, now=now)
    invitation = invitation_make(member=member, email=member.email, account=None, now=now)
    return Founded(society, site, invitation)
