"""Ground: sites, plots and beds, who holds them, and everything that was ever grown where."""

from plots.models.ground import Bed, Plot, Site
from plots.models.sowings import GroundVerdict, Patch, Sowing
from plots.models.tenancies import CoWorker, PlotOffer, Tenancy, TenancyHolder, WaitingEntry

__all__ = [
    "Bed",
    "CoWorker",
    "GroundVerdict",
    "Patch",
    "Plot",
    "PlotOffer",
    "Site",
    "Sowing",
    "Tenancy",
    "TenancyHolder",
    "WaitingEntry",
]
