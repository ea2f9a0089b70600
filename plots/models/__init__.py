"""Ground: sites, plots and beds, who holds them, and everything that was ever grown where."""

from plots.models.ground import Bed, BedKind, FrostWords, Plot, Site, SoilKind
from plots.models.sowings import GroundVerdict, Patch, Sowing
from plots.models.tenancies import CoWorker, PlotOffer, Tenancy, TenancyHolder, WaitingEntry

__all__ = [
    "Bed",
    "BedKind",
    "CoWorker",
    "FrostWords",
    "GroundVerdict",
    "Patch",
    "Plot",
    "PlotOffer",
    "Site",
    "SoilKind",
    "Sowing",
    "Tenancy",
    "TenancyHolder",
    "WaitingEntry",
]
