"""What else would fit on the ground of a sowing: crops that are sound there. Nothing here writes."""

from plots.crops import Crop, crops
from plots.ground_columns import is_root
from plots.ground_selectors import ground_record, record_since_of, wanted_ground
from plots.models import Sowing
from plots.rotation import Candidate, fitting


def crops_fitting(sowing: Sowing, *, current_season: int, but: Sowing | None = None) -> list[Crop]:
    """The annual crops for which the ground of a sowing, saved or not, is sound in its season.

    What comes again from any piece left in the ground is none of them: it does not keep to one season.
    ``but`` is the sowing that is being changed: what it would carry does not count. About eight queries.
    """
    record = ground_record(
        sowing.patch.site, wanted=[sowing], current_season=current_season, every_family=True
    )
    left_out = None if but is None else str(but.key)
    annuals = {crop.key: crop for crop in crops() if not crop.is_perennial and not _comes_again(crop)}
    [wanted] = wanted_ground([sowing], record.mixes)
    found = fitting(
        wanted,
        [Candidate(crop.key, crop.name, crop.family, is_root(crop)) for crop in annuals.values()],
        [use for use in record.uses if use.key != left_out],
        record_since=record_since_of(sowing),
        sightings=record.sightings,
        customs=record.customs,
    )
    return [annuals[each.crop_key] for each in found]


def _comes_again(crop: Crop) -> bool:
    fact = crop.get("comes_again")
    return fact is not None and fact.value is True
