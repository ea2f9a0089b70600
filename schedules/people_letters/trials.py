"""The words of a test letter."""

from datetime import datetime

from schedules.letter_stops import living_member
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society.selectors import the_society


def trial_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    """Says that it arrived, and where mail programs show whether the sender was believed."""
    member = living_member(delivery)
    society = the_society()
    words = Plain(
        title=f"Test letter from {society.name if society else 'Commonrow'}",
        greeting=f"Dear {member.name}",
        paragraphs=(
            "If you read this, letters of the society reach this mailbox.",
            "Whether the mailbox believed the sender stands in the letter’s full head, which mail programs "
            "show as source or headers: look for spf=pass, dkim=pass and dmarc=pass. If one of them fails, "
            "the committee’s mail room page shows the records that the domain’s owner enters.",
        ),
    )
    return Outgoing(words.letter(), to=delivery.address or member.email)
