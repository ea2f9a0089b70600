"""Sending whatever is due, as the workers do, into Django's outbox for tests."""

import re
from datetime import datetime

from django.core import mail

from schedules import deliveries


def send_what_is_due(now: datetime) -> list[mail.EmailMessage]:
    """The messages that went out, oldest first."""
    before = len(mail.outbox)
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=now, limit=50):
            deliveries.delivery_send(delivery, post=post, now=now)
    return mail.outbox[before:]


def link_in(message: mail.EmailMessage) -> str:
    """The path of the one link in a letter."""
    (link,) = re.findall(r"^https?://[^/]+(/\S+)$", str(message.body), flags=re.MULTILINE)
    return str(link)
