"""The letter to whoever waits, about the plot that is offered to them."""

from datetime import datetime

from plots.measures import area_words
from plots.models import PlotOffer
from schedules.letter_stops import NotSent, living_member
from schedules.letter_wording import long_day
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society import clock
from society.zones import zone


def offer_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    member = living_member(delivery)
    pk = int(delivery.subject_key.removeprefix("offer-"))
    offer = PlotOffer.objects.select_related("entry", "plot__site").filter(pk=pk).first()
    if offer is None or offer.answer or offer.entry.closed_on is not None:
        raise NotSent("it was answered or taken back meanwhile")
    plot, site = offer.plot, offer.plot.site
    if offer.lapses_on < clock.local_date(now, zone(site.zone)):
        raise NotSent("the offer has lapsed")
    if not member.email:
        raise NotSent("the member has no e-mail address any more")
    last_day = long_day(offer.lapses_on)
    plain = Plain(
        title=f"Plot {plot.number} at {site.name} is offered to you",
        greeting=f"Dear {member.name},",
        paragraphs=(
            f"You have waited for a plot since {_day(offer.entry.asked_on)}. Plot {plot.number} at "
            f"{site.name}, {area_words(float(plot.area_m2))}, is vacant, and the committee of "
            f"{member.society.name} offers it to you.",
            f"Tell the committee by {last_day} whether you take it. It is kept for you until then, and "
            "offered to nobody else.",
        ),
        closing=(
            "If you would rather wait for another plot, say no: you stay on the list with the day on which "
            "you asked. Without an answer the offer lapses.",
        ),
        reader=member,
    )
    return Outgoing(plain.letter(), to=member.email, reader=member)


def _day(day: object) -> str:
    return f"{day:%-d %B %Y}"
