"""Ground that is asked to grow the same family too soon, and overruling the warning."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from plots.models import GroundVerdict
from plots.selectors import season_name, season_of
from plots.verdict_selectors import ground_warned, warning_stands
from plots.verdict_services import verdict_overrule, verdict_overrule_take_back
from schedules.committee_forms.ground import OverruleForm
from schedules.ground_page import ground_lines, ground_plan, warned_line
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


@looked_at
def ground(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What is warned of, drawn and line for line, forty to a page; the numbers run on over the pages."""
    known = sites()
    site = site_chosen(request, known)
    context: dict[str, object] = {"sites": known, "site": site, "asker": desk.asker}
    if site is not None:
        season = season_of(site, desk.today)
        warned = ground_warned(site, season=season)
        page = page_of(request, warned)
        lines = ground_lines(page.object_list, first=page.start_index())
        context |= {
            "page": page,
            "lines": lines,
            "standing": warned.filter(warning_stands()).count(),
            "season_name": season_name(site, season),
            "drawing": ground_plan(site, lines, on=desk.today) if lines else "",
            "families": sorted({(line.mark, line.family_name) for line in lines}),
        }
    return render(request, "schedules/committee/ground.html", context)


@written
def overrule(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    verdict = _verdict(pk)
    form = OverruleForm(sent(request), initial={"level": verdict.level})
    member = next(iter(desk.asker.members), None)
    if form.call(verdict_overrule, verdict=verdict, member=member, account=desk.account, now=desk.now):
        return done(request, "Overruled. The warning and your reason are both kept.", _list(verdict))
    line = warned_line(_verdict(pk), number=0)
    plot = verdict.sowing.patch.plot
    return form_page(
        request,
        form,
        title=f"Allow {line.crop_name} on plot {plot.number}, {line.place}",
        button="Overrule the warning",
        back=(_list(verdict), "Back to the ground"),
        lead=f"{line.level_words[:1].upper()}{line.level_words[1:]}. {line.why}",
        caution="An overruling makes no ground healthier. If the ground is judged worse later, or the plan "
        "moves, the warning counts again.",
    )


@pressed
def take_back(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    verdict = _verdict(pk)
    return pressed_once(
        request,
        lambda: verdict_overrule_take_back(verdict=verdict, account=desk.account, now=desk.now),
        "Taken back: the warning counts again.",
        _list(verdict),
    )


def _verdict(pk: int) -> GroundVerdict:
    links = ("sowing__patch__plot__site", "sowing__patch__site", "sowing__patch__bed", "overruled_by")
    return get_object_or_404(GroundVerdict.objects.select_related(*links), pk=pk)


def _list(verdict: GroundVerdict) -> str:
    return f"{reverse('committee-ground')}?site={verdict.sowing.patch.site.slug}"
