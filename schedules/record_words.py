"""What became of a file of old records, in words for pages, the terminal and the journal."""

from collections.abc import Mapping, Sequence
from typing import Any

from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.models import Site
from plots.natural_order import natural_key
from plots.record_drafts import Draft, Kind, OnRecord
from plots.record_overlaps import Overlapping
from plots.record_services import Otherwise, RecordImport
from plots.rotation import problems
from plots.selectors import season_name

COUNTED = (
    ("sowings", "sowing", "sowings"),
    ("other_uses", "by its family alone", "by their families alone"),
    ("sightings", "problem seen", "problems seen"),
)


def counted_words(values: Mapping[str, Any]) -> str:
    """'12 sowings, 3 by their families alone and 1 problem seen, 4 of them known only roughly'."""
    said = [
        f"{count} {one if count == 1 else many}"
        for key, one, many in COUNTED
        if (count := int(values.get(key) or 0))
    ]
    listed = " and ".join(filter(None, [", ".join(said[:-1]), *said[-1:]])) or "nothing new"
    coarse = int(values.get("coarse") or 0)
    if coarse:
        listed += f", {coarse} of them known only roughly"
    since = len(values.get("record_since") or {})
    if since:
        listed += f"; the record of {since} plot{'' if since == 1 else 's'} counts as complete from then on"
    return listed


def counts_of(found: RecordImport) -> dict[str, int]:
    """The same figures of an outcome."""
    counts = found.counts
    return {
        "sowings": counts[Kind.SOWING],
        "other_uses": counts[Kind.OTHER],
        "sightings": counts[Kind.SIGHTING],
        "coarse": found.coarse,
    }


def draft_name(draft: Draft) -> str:
    """'Leek', 'some brassica', 'clubroot, not sure'."""
    if draft.kind is Kind.SIGHTING:
        return f"{problems()[draft.name].name}{'' if draft.is_sure else ', not sure'}"
    return draft.what.name if draft.what else draft.name


def otherwise_line(site: Site, found: Otherwise) -> str:
    """'Line 4: Leek, plot 7, bed 1, 2019 is on record: begun 2019-04-09 (the file says 2019-04-12).'"""
    return f"Line {found.draft.line}: {_draft(site, found.draft)} is on record: {'; '.join(found.says)}."


def overlap_line(site: Site, found: Overlapping) -> str:
    """'Line 4: Leek, plot 7, bed 1, 2019 shares 2.0 m² with Pea, which is on record there then.'"""
    name = _row_name(found.row)
    return (
        f"Line {found.draft.line}: {_draft(site, found.draft)} shares {found.area_m2:.1f} m² with {name}, "
        f"{seasons_words(site, found.row.first, found.row.last)}, on record there."
    )


def seasons_words(site: Site, first: int, last: int) -> str:
    if first == last:
        return season_name(site, first)
    return f"{season_name(site, first)} to {season_name(site, last)}"


def account_lines(found: RecordImport) -> list[str]:
    """What else there is to know of a file before it is kept: sentence by sentence."""
    lines = []
    if found.known:
        stays = "stays as it is" if found.known == 1 else "stay as they are"
        lines.append(f"{_said(found.known)} on record already and {stays}.")
    if found.twice:
        counts = "counts" if found.twice == 1 else "count"
        lines.append(f"{_said(found.twice)} said twice in the file and {counts} once.")
    if found.coarse:
        lines.append(
            f"{_said(found.coarse)} known only roughly. They may warn of tired ground, and accuse nobody."
        )
    if found.placed_later:
        lines.append(
            f"{_said(found.placed_later)} placed on beds that were laid out later, as these lie now."
        )
    if found.standing:
        lines.append(f"{_said(found.standing)} in the ground still; their jobs are worked out.")
    for plot, season in sorted(found.since.items(), key=lambda item: natural_key(item[0].number)):
        name = season_name(plot.site, season)
        lines.append(f"The record of plot {plot.number} then counts as complete from {name} on.")
    lines += list(found.remarks)
    if found.ignored:
        lines.append(f"Columns not used: {', '.join(found.ignored)}.")
    return lines


def shortened(lines: Sequence[str], most: int) -> list[str]:
    """The first of many lines, and how many more there are."""
    more = len(lines) - most
    return [*lines[:most], f"And {more} more."] if more > 0 else list(lines)


def _draft(site: Site, draft: Draft) -> str:
    where = f"plot {draft.ground.plot.number}, {draft.ground.place}"
    return f"{draft_name(draft)}, {where}, {seasons_words(site, draft.first, draft.last)}"


def _row_name(row: OnRecord) -> str:
    if row.kind is not Kind.SOWING:
        return row.name
    try:
        return crop_of(row.name).name
    except UnknownCrop:
        return row.name


def _said(count: int) -> str:
    return "1 entry is" if count == 1 else f"{count} entries are"
