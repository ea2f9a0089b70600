"""Why a letter that was written down is rightly not sent."""

from schedules.models import Delivery
from society.models import Member


class NotSent(Exception):
    """Nobody should get it; the message says why, for the committee's page."""


def living_member(delivery: Delivery) -> Member:
    """The member a letter is for; NotSent when they have left or died since it was written down."""
    member = delivery.member
    if member is None or not member.is_active:
        raise NotSent("the member has left since it fell due")
    return member
