"""The committee's mail room: how letters stand, stopping them, a test letter, addresses that are no good."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from schedules.committee_forms.mail_room import BouncedForm, StopForm, TestLetterForm
from schedules.deliveries.holding import letters_close, letters_open, letters_release_older
from schedules.mail_room_page import mail_room_page
from schedules.trial_letters import trial_letter_order
from schedules.views.committee.desk import Desk, done, form_page, looked_at, pressed, sent, written
from society.address_services import address_clear, address_mark_refused
from society.models import Member


@looked_at
def mail_room(request: HttpRequest, desk: Desk) -> HttpResponse:
    context = {
        "page": mail_room_page(now=desk.now),
        "asker": desk.asker,
        "can_test": bool(desk.asker.members),
    }
    return render(request, "schedules/committee/mail_room.html", context)


@written
def stop(request: HttpRequest, desk: Desk) -> HttpResponse:
    form = StopForm(sent(request))
    if form.is_valid():
        letters_close(**form.wish, account=desk.account, now=desk.now)
        return done(request, "No letter leaves any more.", _room())
    return form_page(
        request,
        form,
        title="Stop all letters",
        button="Stop them",
        back=_back(),
        lead="Letters that fall due are kept and go out once you let them; one that is more than two days "
        "late by then is not sent.",
    )


@pressed
def go_on(request: HttpRequest, desk: Desk) -> HttpResponse:
    letters_open(account=desk.account, now=desk.now)
    return done(request, "Letters go out again, the next within minutes.", _room())


@pressed
def release(request: HttpRequest, desk: Desk) -> HttpResponse:
    count = letters_release_older(account=desk.account, now=desk.now)
    said = "one letter is" if count == 1 else f"{count} letters are"
    return done(request, f"Let go: {said} due again. What is more than two days late is not sent.", _room())


@written
def test_letter(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Only who acts for a member sends one: it is written to somebody."""
    member = next(iter(desk.asker.members), None)
    form = TestLetterForm(sent(request), address=member.email if member else "")
    if member is None:
        form.add_error(None, "Your log-in acts for no member, so there is nobody to write the letter to.")
    elif form.call(trial_letter_order, member=member, account=desk.account, now=desk.now):
        return done(request, "The test letter goes out within minutes.", _room())
    return form_page(request, form, title="Send a test letter", button="Send it", back=_back())


@written
def address_bounced(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = get_object_or_404(Member.objects.exclude(email=""), pk=pk)
    form = BouncedForm(sent(request))
    if form.is_valid():
        address_mark_refused(member=member, **form.wish, account=desk.account, now=desk.now)
        return done(request, f"Noted: letters to {member.name} come back.", _room())
    title = f"Letters to {member.name} come back"
    return form_page(request, form, title=title, button="Note it", back=_back(), lead=member.email)


@pressed
def address_trust(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = get_object_or_404(Member, pk=pk)
    address_clear(member=member, account=desk.account, now=desk.now)
    return done(request, f"Letters go to {member.name} again.", _room())


def _room() -> str:
    return reverse("committee-mail-room")


def _back() -> tuple[str, str]:
    return _room(), "Back to the mail room"
