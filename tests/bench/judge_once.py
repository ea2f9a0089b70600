"""Judge one site's ground in this process and say how it went: ``python -m tests.bench.judge_once``.

Prints JSON. The database is the one that the settings name. Beside each judgement the bare floor of the same
polygons is measured: a tree of boxes, its query, and the areas of all intersections it finds. Geometry, floor
and judging are counted in seconds of this process's own work, since other work on the machine is none of it.
"""

import json
import os
import resource
import time
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

import django
import numpy as np
import shapely

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.config.settings")
django.setup()

from plots import ground_columns, ground_selectors, ground_services  # noqa: E402
from plots.models import Site  # noqa: E402
from plots.rotation import judging_many, overlaps  # noqa: E402

NOW = datetime(2027, 1, 10, 9, tzinfo=UTC)
SECONDS: Counter[str] = Counter()
COUNTS: Counter[str] = Counter()
RUNNING: set[str] = set()


def timed(
    name: str, work: Callable[..., Any], clock: Callable[[], float] = time.process_time
) -> Callable[..., Any]:
    def run(*given: Any, **named: Any) -> Any:
        if name in RUNNING:  # counted already by what called it
            return work(*given, **named)
        RUNNING.add(name)
        began = clock()
        try:
            return work(*given, **named)
        finally:
            SECONDS[name] += clock() - began
            RUNNING.discard(name)

    return run


def beside_the_floor(work: Callable[..., Any]) -> Callable[..., Any]:
    """Judge, and then do the bare geometry of the same polygons, which is no part of the run."""
    judge_many = timed("judging", work)

    def run(wanted: Sequence[Any], past: Sequence[Any], **named: Any) -> Any:
        verdicts = judge_many(wanted, past, **named)
        began, worked = time.perf_counter(), time.process_time()
        patches = np.array([each.polygon for each in wanted], dtype=object)
        earlier = np.array([use.polygon for use in past], dtype=object)
        mine, theirs = shapely.STRtree(earlier).query(patches)
        shapely.area(shapely.intersection(patches[mine], earlier[theirs]))
        SECONDS["floor"] += time.process_time() - worked
        SECONDS["beside"] += time.perf_counter() - began
        COUNTS.update(wanted=len(wanted), uses=len(past), pairs=len(mine))
        return verdicts

    return run


def watch() -> None:
    ground_selectors.judge_many = beside_the_floor(judging_many.judge_many)
    for module, function, name in (
        (judging_many, "pairs_that_matter", "geometry"),
        (judging_many, "_shared", "geometry"),
        (overlaps.Pieces, "take", "geometry"),
        (overlaps.Pieces, "covered", "geometry"),
        (overlaps.Pieces, "_within_tolerance", "geometry"),
        (ground_columns, "pairs_that_matter", "geometry"),
    ):
        setattr(module, function, timed(name, getattr(module, function)))
    for module, function, name in (
        (ground_selectors, "uses_that_matter", "reading uses"),
        (ground_services, "_keep", "keeping verdicts"),
    ):
        setattr(module, function, timed(name, getattr(module, function), time.perf_counter))


def main() -> None:
    watch()
    began, cpu = time.perf_counter(), time.process_time()
    counts = ground_services.site_ground_check(site=Site.objects.get(), now=NOW)
    seconds = time.perf_counter() - began - SECONDS["beside"]
    print(
        json.dumps(
            {
                "seconds": seconds,
                "cpu_s": time.process_time() - cpu - SECONDS["floor"],
                "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
                "steps": SECONDS,
                "counts": COUNTS,
                "levels": counts,
            }
        )
    )


if __name__ == "__main__":
    main()
