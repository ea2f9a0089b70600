"""One hatch and one mark, one meaning."""

from xml.etree.ElementTree import tostring

from plots.crops import crops
from schedules.ground_rest import family_name
from schedules.hatches import hatch, hatch_id, mark_of

FAMILIES = sorted({crop.family for crop in crops()})


def test_no_two_families_share_a_hatch_or_a_mark() -> None:
    drawn = {tostring(hatch(family)).split(b">", 1)[1] for family in FAMILIES}
    assert len(drawn) == len({mark_of(family) for family in FAMILIES}) == len(FAMILIES)
    assert len({hatch_id(family) for family in FAMILIES}) == len(FAMILIES)


def test_every_family_has_a_plain_name() -> None:
    assert [family for family in FAMILIES if family_name(family) == family] == []
