"""Finding what an address names, for those who may see it. To everybody else it does not exist."""

from datetime import date
from uuid import UUID

from django.http import Http404
from django.shortcuts import get_object_or_404

from plots.models import Bed, Patch, Plot, Site, Sowing
from plots.workers import members_working, sites_worked
from schedules.models import Delivery, Job
from society import clock
from society.models import Member
from society.permissions import (
    Asker,
    can_plan_sowing,
    can_print_letter,
    can_record_job,
    can_see_letter,
    can_see_plot,
    can_see_site_ground,
)
from society.zones import zone


def site_today(plot: Plot) -> date:
    return clock.today(zone(plot.site.zone))


def site_ground_for(asker: Asker, slug: str) -> Site:
    """A site whose ground the asker may see as a whole."""
    site = get_object_or_404(Site.objects.select_related("society"), slug=slug)
    if not can_see_site_ground(asker, works_there=site.pk in sites_worked(asker.members, on=asker.on)):
        raise Http404
    return site


def plot_for(asker: Asker, pk: int) -> Plot:
    plot = get_object_or_404(Plot.objects.select_related("site__society"), pk=pk)
    if not can_see_plot(asker, worked_by=members_working(plot, on=asker.on)):
        raise Http404
    return plot


def plot_to_plan_for(asker: Asker, pk: int) -> Plot:
    plot = get_object_or_404(Plot.objects.select_related("site__society"), pk=pk)
    if not can_plan_sowing(asker, worked_by=members_working(plot, on=asker.on)):
        raise Http404
    return plot


def patch_for(asker: Asker, plot_pk: int, pk: int) -> Patch:
    """A patch of a plot that the asker may see."""
    patches = Patch.objects.select_related("plot__site", "site__society", "bed")
    patch = get_object_or_404(patches, pk=pk, plot=plot_pk)
    if not can_see_plot(asker, worked_by=members_working(patch.plot, on=asker.on)):
        raise Http404
    return patch


def bed_for(asker: Asker, plot_pk: int, pk: int) -> Bed:
    """A bed, closed ones too, of a plot that the asker may see."""
    bed = get_object_or_404(Bed.objects.select_related("plot__site__society"), pk=pk, plot=plot_pk)
    if not can_see_plot(asker, worked_by=members_working(bed.plot, on=asker.on)):
        raise Http404
    return bed


def sowing_for(asker: Asker, pk: int) -> Sowing:
    """A sowing on a plot that the asker works or plans for."""
    sowings = Sowing.objects.select_related(
        "patch__plot__site", "patch__site", "patch__bed", "verdict", "outlook__explanation"
    )
    sowing = get_object_or_404(sowings, pk=pk)
    if not can_plan_sowing(asker, worked_by=members_working(sowing.patch.plot, on=asker.on)):
        raise Http404
    return sowing


def job_for(asker: Asker, pk: int) -> Job:
    """A job of a plot that the asker works."""
    jobs = Job.objects.select_related("sowing__patch__plot__site", "sowing__patch__bed", "explanation")
    job = get_object_or_404(jobs, pk=pk)
    if not can_record_job(asker, worked_by=members_working(job.sowing.patch.plot, on=asker.on)):
        raise Http404
    return job


def letter_for(asker: Asker, key: UUID) -> Delivery:
    letters = Delivery.objects.select_related("member").prefetch_related("steps")
    letter = get_object_or_404(letters, key=key)
    if letter.member_id is None or not can_see_letter(asker, member_id=letter.member_id):
        raise Http404
    return letter


def member_to_print_for(asker: Asker, pk: int) -> Member:
    """An active member whose letter the asker may put on paper."""
    member = get_object_or_404(Member.objects.select_related("society"), pk=pk)
    if not (member.is_active and can_print_letter(asker, member_id=member.pk)):
        raise Http404
    return member
