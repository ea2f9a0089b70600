"""Writing in the book of members."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from plots.membership_services import member_go, member_take_up
from schedules.committee_forms.people import (
    EndForm,
    GoneForm,
    InviteForm,
    MemberChangeForm,
    MemberForm,
    SeatForm,
)
from schedules.invitation_services import invitation_make
from schedules.views.committee.desk import Desk, done, form_page, pressed, pressed_once, sent, written
from society.member_services import member_add, member_change, seat_begin, seat_end
from society.models import CommitteeSeat, Member
from society.selectors import the_society

LIST = "Back to the growers"


@written
def grower_add(request: HttpRequest, desk: Desk) -> HttpResponse:
    form = MemberForm(sent(request), today=desk.today)
    society = the_society()
    added = form.call(member_add, society=society, account=desk.account, now=desk.now)
    if added:
        return done(request, f"{added.name} is in the book.", reverse("committee-grower", args=[added.pk]))
    return form_page(
        request,
        form,
        title="Enter a new member",
        button="Enter them",
        back=(reverse("committee-growers"), LIST),
    )


@written
def grower_change(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = _member(pk)
    form = MemberChangeForm(sent(request), member=member, today=desk.today)
    if form.call(member_change, member=member, account=desk.account, now=desk.now):
        return done(request, "Corrected.", _page(member))
    return form_page(
        request,
        form,
        title=f"Correct what the book says of {member.name}",
        button="Keep this",
        back=_back(member),
    )


@written
def grower_invite(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = _member(pk)
    form = InviteForm(sent(request), initial={"email": member.email})
    if form.call(invitation_make, member=member, account=desk.account, now=desk.now):
        return done(request, f"An invitation goes to {form.cleaned_data['email']}.", _page(member))
    return form_page(
        request,
        form,
        title=f"Invite {member.name} to log in",
        button="Send the invitation",
        back=_back(member),
        lead="A letter with a link goes to this address. The link works once, for two weeks; an earlier one "
        "that is still open stops working.",
    )


@written
def grower_gone(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = _member(pk)
    form = GoneForm(sent(request), member=member, today=desk.today)
    if form.call(member_go, member=member, account=desk.account, now=desk.now):
        return done(request, f"Noted. No more letters are sent to {member.name}.", _page(member))
    return form_page(
        request,
        form,
        title=f"{member.name} has gone",
        button="Note it",
        back=_back(member),
        lead="From that day on nothing is sent in this name. Their help on plots, their place on a waiting "
        "list and their seat on the committee end; the record of their ground stays. A tenancy is ended on "
        "its plot’s page first, because something may stand in the ground.",
    )


@pressed
def grower_back(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = _member(pk)
    return pressed_once(
        request,
        lambda: member_take_up(member=member, account=desk.account, now=desk.now),
        f"{member.name} is a member again.",
        _page(member),
    )


@written
def seat_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = _member(pk)
    form = SeatForm(sent(request), today=desk.today)
    if form.call(seat_begin, member=member, account=desk.account, now=desk.now):
        return done(request, f"{member.name} has a seat on the committee.", _page(member))
    return form_page(
        request,
        form,
        title=f"A seat on the committee for {member.name}",
        button="Give them the seat",
        back=_back(member),
        lead="Whoever logs in for them then sees every plot, member and letter of the society.",
    )


@written
def seat_close(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    seat = get_object_or_404(CommitteeSeat.objects.select_related("member"), pk=pk)
    form = EndForm(sent(request), today=desk.today)
    if form.call(seat_end, seat=seat, account=desk.account, now=desk.now):
        return done(request, f"The seat of {seat.member.name} has ended.", _page(seat.member))
    title = f"End the seat of {seat.member.name}, {seat.office}"
    return form_page(request, form, title=title, button="End it", back=_back(seat.member))


def _member(pk: int) -> Member:
    return get_object_or_404(Member.objects.select_related("society"), pk=pk)


def _page(member: Member) -> str:
    return reverse("committee-grower", args=[member.pk])


def _back(member: Member) -> tuple[str, str]:
    return _page(member), f"Back to {member.name}"
