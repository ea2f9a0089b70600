"""The letter with which somebody gets an account."""

from datetime import datetime

from django.conf import settings
from django.urls import reverse

from schedules.letter_stops import NotSent, living_member
from schedules.letter_wording import long_day
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society.invitation_tokens import token_of
from society.models import Invitation


def invitation_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    member = living_member(delivery)
    invitation = Invitation.objects.filter(pk=int(delivery.subject_key.removeprefix("invitation-"))).first()
    if invitation is None or not invitation.is_open(now):
        raise NotSent("the invitation was taken up, withdrawn, or ran out")
    link = settings.PUBLIC_URL + reverse("invitation", args=[token_of(invitation)])
    plain = Plain(
        title=f"Your log-in at {member.society.name}",
        greeting=f"Dear {member.name},",
        paragraphs=(
            f"The committee of {member.society.name} offers you a log-in. With it you see what your "
            "ground needs each week and why, say what is done, and choose which letters you get.",
            "Open this page and choose a password:",
        ),
        link=link,
        link_says="Choose a password",
        closing=(
            f"The link works once, until {long_day(invitation.expires_at.date())}. After that, ask the "
            "committee for another.",
            "If you do not want a log-in, do nothing. You stay a member all the same.",
        ),
        reader=member,
    )
    return Outgoing(plain.letter(), to=delivery.address, secret=link, reader=member)
