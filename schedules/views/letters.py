"""The letters that were written, and the ones that go out on paper."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from schedules.letter_selectors import letters_of, members_for_paper
from schedules.letters import weekly_letter
from schedules.unwrapping import unwrapped
from schedules.views.access import letter_for, member_to_print_for
from society.asking import who_asks
from society.permissions import can_see_all_letters

A_PAGE = 40


@require_safe
@login_required
def letters(request: HttpRequest) -> HttpResponse:
    """All letters to the committee, else one's own; newest first, forty to a page."""
    asker = who_asks(request)
    everyone = can_see_all_letters(asker)
    rows = letters_of(None if everyone else asker.member_ids)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    on_paper = members_for_paper(on=asker.on) if everyone and page.number == 1 else ()
    context = {"page": page, "everyone": everyone, "on_paper": on_paper}
    return render(request, "schedules/letters.html", context)


@require_safe
@login_required
def letter(request: HttpRequest, key: UUID) -> HttpResponse:
    found = letter_for(who_asks(request), key)
    context = {"letter": found, "text": unwrapped(found.text)}
    return render(request, "schedules/letter.html", context)


@require_safe
@login_required
def letter_print(request: HttpRequest, pk: int) -> HttpResponse:
    """This week's letter as it would be sent today, for paper. Nothing is written down by looking at it."""
    asker = who_asks(request)
    member = member_to_print_for(asker, pk)
    written = weekly_letter(member=member, reader=member, today=asker.on)
    context = {"member": member, "title": written.title, "text": unwrapped(written.text)}
    return render(request, "schedules/letter_print.html", context)
