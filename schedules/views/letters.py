"""The letters that were written, and the ones that go out on paper."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from schedules.deliveries.again import STOPPED, delivery_again
from schedules.letter_selectors import TROUBLE, letters_of, members_for_paper
from schedules.letter_wishes import wishes_of
from schedules.models import Delivery
from schedules.unwrapping import unwrapped, without_private_links
from schedules.views.access import letter_for, member_to_print_for
from schedules.weekly_letters import To, gather, sheet_of
from society import clock
from society.asking import who_asks
from society.permissions import can_see_all_letters, can_send_again

A_PAGE = 40
STATES = {TROUBLE: "in trouble", **dict(Delivery.State.choices)}


@require_safe
@login_required
def letters(request: HttpRequest) -> HttpResponse:
    """All letters to the committee, else one's own; newest first, forty to a page."""
    asker = who_asks(request)
    everyone = can_see_all_letters(asker)
    state = request.GET.get("state", "")
    if state and state not in STATES:
        raise Http404("state: letters know no such state")
    rows = letters_of(None if everyone else asker.member_ids, state=state)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    on_paper = members_for_paper(on=asker.on) if everyone and page.number == 1 and not state else ()
    context = {
        "page": page,
        "everyone": everyone,
        "on_paper": on_paper,
        "state": state,
        "states": list(STATES.items()),
        "stopped": STOPPED,
    }
    return render(request, "schedules/letters.html", context)


@require_safe
@login_required
def letter(request: HttpRequest, key: UUID) -> HttpResponse:
    asker = who_asks(request)
    found = letter_for(asker, key)
    again = found.state in STOPPED and can_send_again(asker)
    context = {"letter": found, "text": without_private_links(unwrapped(found.text)), "can_send_again": again}
    return render(request, "schedules/letter.html", context)


@require_POST
@login_required
def letter_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Send a refused or held letter again."""
    asker = who_asks(request)
    found = letter_for(asker, key)
    if not can_send_again(asker):
        raise Http404("only the committee sends letters again")
    try:
        delivery_again(delivery=found, account=asker.account, now=clock.now())
    except ValidationError as fault:
        messages.warning(request, " ".join(fault.messages))
    else:
        messages.success(request, "The letter is due again; it goes out within minutes.")
    return redirect("letter", key=found.key)


@require_safe
@login_required
def letter_print(request: HttpRequest, pk: int) -> HttpResponse:
    """This week's letter as it would be sent today, for paper. Nothing is written down by looking at it."""
    asker = who_asks(request)
    member = member_to_print_for(asker, pk)
    [matter] = gather([To(member, member)], today=asker.on)
    context = {"sheets": [sheet_of(matter)], "title": f"Letter to {member.name}", "day": asker.on}
    return render(request, "schedules/letters_print.html", context)


@require_safe
@login_required
def letters_print(request: HttpRequest) -> HttpResponse:
    """This week's letters to everybody without an e-mail address, each on a page of its own."""
    asker = who_asks(request)
    if not can_see_all_letters(asker):
        raise Http404("only the committee prints letters to everybody")
    people = [member for member in members_for_paper(on=asker.on) if wishes_of(member).weekly]
    matters = gather([To(member, member) for member in people], today=asker.on)
    wanted = [m for m in matters if not m.is_empty or wishes_of(m.to.member).weekly_when_empty]
    context = {
        "sheets": [sheet_of(matter) for matter in wanted],
        "left_out": [matter.to.member for matter in matters if matter not in wanted],
        "title": "Letters to print",
        "day": asker.on,
    }
    return render(request, "schedules/letters_print.html", context)
