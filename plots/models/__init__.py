"""Ground: sites, plots and beds, who holds them, and everything that was ever grown where."""

from plots.models.customs import GroundCustoms, SocietyRest
from plots.models.ground import Bed, BedKind, FrostWords, Plot, Site, SoilKind
from plots.models.ground_events import GroundEvent, GroundEventKind
from plots.models.layouts import LayoutAsk, LayoutPlace, LayoutProposal, LayoutWish
from plots.models.other_uses import OtherUse
from plots.models.sightings import HowSure, Sighting
from plots.models.sowings import GroundVerdict, Patch, Sowing
from plots.models.tenancies import CoWorker, PlotOffer, Tenancy, TenancyHolder, WaitingEntry

__all__ = [
    "Bed",
    "BedKind",
    "CoWorker",
    "FrostWords",
    "GroundCustoms",
    "GroundEvent",
    "GroundEventKind",
    "GroundVerdict",
    "HowSure",
    "LayoutAsk",
    "LayoutPlace",
    "LayoutProposal",
    "LayoutWish",
    "OtherUse",
    "Patch",
    "Plot",
    "PlotOffer",
    "Sighting",
    "Site",
    "SocietyRest",
    "SoilKind",
    "Sowing",
    "Tenancy",
    "TenancyHolder",
    "WaitingEntry",
]
