"""An invented society of any size in the database of the settings, laid out in bulk.

Twelve sowings a plot of all crops: a third when the ground is fit, a third on a day set, a third sown, with
what growers recorded of them since. Each bed bore another crop the year before.
"""

import uuid
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from random import Random

from django.db import connection

from plots.crops import crops
from plots.models import Bed, BedKind, Patch, Plot, Site, Sowing
from plots.outlines import rectangle
from schedules.bulk_rows import rows_insert
from schedules.models import Explanation, Job, WeatherDay
from society.models import Society
from tests.bench.years import weather_until

A_PLOT = 12
TODAY = date(2027, 5, 10)
SEASON = 2027
BED_M, PATH_M, LONG_M = 1.2, 0.5, 8.0
COVERS = ("none",) * 16 + ("fleece", "fleece", "mesh", "clear")
AT_ONCE = 20_000


def lay_out(plots: int) -> Site:
    """Write everything but plans."""
    society = Society.objects.create(name="Big Lane", zone="Europe/London")
    site = Site.objects.create(
        society=society, name="Big Lane", slug="big-lane", latitude=52.2, longitude=0.1, zone="Europe/London"
    )
    weather_add(site, until=TODAY)
    dice = Random(f"{plots} plots")
    across = max(1, round(plots**0.5))
    rows_insert(
        Plot,
        ("site", "number", "outline", "area_m2", "laid_out_on", "version"),
        [
            (site.pk, str(at + 1), _json(_bed(at, across, 0, width_m=20.0)), 160, date(2001, 1, 1), 1)
            for at in range(plots)
        ],
    )
    plot_ids = list(Plot.objects.order_by("pk").values_list("pk", flat=True))
    _beds(site, plot_ids, across, dice)
    _patches(site, plot_ids, across)
    patches = list(Patch.objects.order_by("pk").values_list("pk", flat=True))
    for at in range(0, len(patches), AT_ONCE):
        _sowings(patches[at : at + AT_ONCE], dice)
    _records(site, dice)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # as the database does by itself some minutes after such a load
    return site


def weather_add(site: Site, *, until: date) -> None:
    """Observed days up to yesterday, none twice."""
    days = weather_until(until)
    known = WeatherDay.objects.filter(site=site).count()
    rows_insert(
        WeatherDay,
        ("site", "day", "kind", "tmin_c", "tmax_c", "rain_mm", "wind_ms"),
        [
            (
                site.pk,
                days.first + timedelta(days=at),
                "observed",
                float(days.tmin_c[at]),
                float(days.tmax_c[at]),
                float(days.rain_mm[at]),
                3.0,
            )
            for at in range(known, days.tmin_c.size)
        ],
    )


def _bed(plot: int, across: int, bed: int, *, width_m: float = BED_M) -> list[list[float]]:
    east, north = (plot % across) * 22.0, (plot // across) * 10.0
    return rectangle(
        (east + bed * (BED_M + PATH_M) + BED_M, north), length_m=LONG_M, width_m=width_m, angle_deg=90
    )


def _json(corners: list[list[float]]) -> str:
    return str(corners)


def _beds(site: Site, plot_ids: list[int], across: int, dice: Random) -> None:
    kinds = [(str(BedKind.OPEN), 0.0)] * 18 + [(str(BedKind.RAISED), 0.3), (str(BedKind.CONTAINER), 0.6)]
    rows_insert(
        Bed,
        ("plot", "name", "kind", "outline", "height_m", "soil", "since", "version"),
        [
            (pk, f"Bed {bed + 1}", kind, _json(_bed(at, across, bed)), height_m, "", date(2001, 1, 1), 1)
            for at, pk in enumerate(plot_ids)
            for bed in range(A_PLOT)
            for kind, height_m in [dice.choice(kinds)]
        ],
    )


def _patches(site: Site, plot_ids: list[int], across: int) -> None:
    bed_ids = iter(Bed.objects.order_by("pk").values_list("pk", flat=True))
    rows = []
    for at, pk in enumerate(plot_ids):
        for bed in range(A_PLOT):
            corners = _bed(at, across, bed)
            xs, ys = [each[0] for each in corners], [each[1] for each in corners]
            box = (min(xs), min(ys), max(xs), max(ys))
            rows.append((site.pk, pk, next(bed_ids), _json(corners), False, *box, BED_M * LONG_M))
    rows_insert(
        Patch,
        ("site", "plot", "bed", "outline", "is_coarse", "min_x", "min_y", "max_x", "max_y", "area_m2"),
        rows,
    )


def _sowings(patches: list[int], dice: Random) -> None:
    """On each patch what was lifted last year, and one of three kinds of sowing of this year."""
    kinds = crops()
    rows = []
    for patch in patches:
        old_sown = date(2026, 3, 1) + timedelta(days=dice.randrange(90))
        made_at = datetime(2026, 1, 10, 18, tzinfo=UTC)
        rows.append(
            (
                str(uuid.UUID(int=dice.getrandbits(128))),
                patch,
                dice.choice(kinds).key,
                "",
                SEASON - 1,
                SEASON - 1,
                "lifted",
                None,
                None,
                old_sown,
                old_sown + timedelta(days=100),
                "none",
                1,
                made_at,
            )
        )
        rows.append(_this_year(patch, dice.choice(kinds).key, dice))
    rows_insert(
        Sowing,
        (
            "key",
            "patch",
            "crop",
            "variety",
            "season",
            "last_season",
            "state",
            "sow_on",
            "not_before",
            "sown_on",
            "ended_on",
            "cover",
            "version",
            "made_at",
        ),
        rows,
    )


def _this_year(patch: int, crop: str, dice: Random) -> tuple[object, ...]:
    key, cover = str(uuid.UUID(int=dice.getrandbits(128))), dice.choice(COVERS)
    made_at = datetime(2027, 1, 5, 18, tzinfo=UTC) + timedelta(days=dice.randrange(90))
    state, sow_on, not_before, sown_on = "planned", None, None, None
    way = dice.choice(("fit", "dated", "sown"))
    if way == "dated":
        sow_on = TODAY + timedelta(days=dice.randrange(-3, 110))
    elif way == "sown":
        state, sown_on = "sown", TODAY - timedelta(days=dice.randrange(1, 75))
    elif dice.random() < 0.25:
        not_before = date(2027, 3, 1) + timedelta(days=7 * dice.randrange(20))
    return (
        key,
        patch,
        crop,
        "",
        SEASON,
        SEASON,
        state,
        sow_on,
        not_before,
        sown_on,
        None,
        cover,
        1,
        made_at,
    )


def _records(site: Site, dice: Random) -> None:
    """Sown rows were recorded as sown, many as covered or weeded since, each grower on a day of theirs."""
    reason = Explanation.objects.create(
        site=site,
        content="laid out",
        rule="weed_the_rows",
        values={"stage": 1, "stages": 2},
        worked_out_at=datetime(2027, 5, 1, tzinfo=UTC),
    )
    done = (
        (
            sowing,
            f"{key}/{name}",
            kind,
            stage,
            day,
            day,
            day,
            reason.pk,
            "done",
            day,
            True,
            1,
            datetime(2027, 5, 1, tzinfo=UTC),
        )
        for sowing, key, sown_on in Sowing.objects.filter(state="sown").values_list("pk", "key", "sown_on")
        for name, kind, stage, day in _deeds(sown_on, dice)
    )
    rows_insert(
        Job,
        (
            "sowing",
            "key",
            "kind",
            "stage",
            "start_on",
            "best_on",
            "by_on",
            "explanation",
            "state",
            "done_on",
            "is_asked",
            "moves",
            "worked_out_at",
        ),
        list(done),
    )


def _deeds(sown_on: date, dice: Random) -> Iterator[tuple[str, str, int, date]]:
    yield "sow", "sow", 0, sown_on
    for name, kind, stage, after in (("cover", "cover", 0, 2), ("weed-1", "weed", 1, 24)):
        day = sown_on + timedelta(days=after + dice.randrange(10))
        if day < TODAY and dice.random() < 0.7:
            yield name, kind, stage, day
