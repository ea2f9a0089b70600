"""The crops of the society's ground: pure data, read once from the files beside this package."""

from plots.crops.catalogue import UnknownCrop, crop, crops
from plots.crops.facts import Basis, Crop, Fact, FactValue, GerminationTable, MissingFact
from plots.crops.rows import CropDataFault
from plots.crops.schema import INSECTS

__all__ = [
    "INSECTS",
    "Basis",
    "Crop",
    "CropDataFault",
    "Fact",
    "FactValue",
    "GerminationTable",
    "MissingFact",
    "UnknownCrop",
    "crop",
    "crops",
]
