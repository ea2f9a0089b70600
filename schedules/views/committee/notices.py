"""Notices: put up, changed, taken down."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from schedules.committee_forms.notices import NoticeChangeForm, NoticeForm
from schedules.models import Notice
from schedules.notice_services import notice_change, notice_end, notice_make
from schedules.views.committee.desk import (
    Desk,
    done,
    form_page,
    looked_at,
    page_of,
    pressed,
    pressed_once,
    sent,
    site_chosen,
    sites,
    written,
)

BACK = "Back to the notices"
WHO_READS = (
    "Members read notices on their page of the week; a public one also stands on the screen. An urgent one "
    "goes out by letter as well."
)
CHANGED = "An urgent notice that says something else goes out again."


@looked_at
def notices(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every notice of a site, the one that stands longest first; forty to a page."""
    known = sites()
    site = site_chosen(request, known)
    context: dict[str, object] = {"sites": known, "site": site, "day": desk.today}
    if site is not None:
        rows = Notice.objects.filter(site=site).order_by("-until", "-pk")
        standing = rows.filter(since__lte=desk.today, until__gte=desk.today).count()
        context |= {"page": page_of(request, rows), "standing": standing}
    return render(request, "schedules/committee/notices.html", context)


@written
def notice_add(request: HttpRequest, desk: Desk) -> HttpResponse:
    site = site_chosen(request, sites())
    if site is None:
        raise Http404("there is no site to put a notice up at")
    form = NoticeForm(sent(request), today=desk.today)
    if form.call(notice_make, site=site, account=desk.account, now=desk.now):
        return done(request, "The notice is up.", _list(site.slug))
    return form_page(
        request,
        form,
        title=f"Put up a notice at {site.name}",
        button="Put it up",
        back=(_list(site.slug), BACK),
        lead=WHO_READS,
    )


@written
def notice_alter(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    notice = _notice(pk)
    form = NoticeChangeForm(sent(request), notice=notice, today=desk.today)
    if form.call(notice_change, notice=notice, account=desk.account, now=desk.now):
        return done(request, "The notice is changed.", _list(notice.site.slug))
    return form_page(
        request,
        form,
        title="Change a notice",
        button="Keep this",
        back=(_list(notice.site.slug), BACK),
        lead=f"{WHO_READS} {CHANGED}",
    )


@pressed
def notice_down(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    notice = _notice(pk)
    return pressed_once(
        request,
        lambda: notice_end(notice=notice, account=desk.account, now=desk.now),
        "The notice is down.",
        _list(notice.site.slug),
    )


def _notice(pk: int) -> Notice:
    return get_object_or_404(Notice.objects.select_related("site"), pk=pk)


def _list(slug: str) -> str:
    return f"{reverse('committee-notices')}?site={slug}"
