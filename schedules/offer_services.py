"""Offering a plot, and the letter about it to whoever waits for one."""

from datetime import date, datetime

from django.db import transaction

from plots.models import Plot, PlotOffer, WaitingEntry
from plots.waiting_services import offer_make
from schedules.deliveries import delivery_order
from schedules.models import Delivery
from society.models import Account


@transaction.atomic
def plot_offer(
    *,
    entry: WaitingEntry,
    plot: Plot,
    made_on: date,
    lapses_on: date,
    account: Account | None,
    now: datetime,
) -> PlotOffer:
    """Note the offer and write the letter down; who has no e-mail address has to be told otherwise."""
    offer = offer_make(entry=entry, plot=plot, made_on=made_on, lapses_on=lapses_on, account=account, now=now)
    if entry.member.email:
        delivery_order(
            kind=Delivery.Kind.OFFER, subject_key=f"offer-{offer.pk}", member=entry.member, now=now
        )
    return offer
