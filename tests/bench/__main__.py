"""Figures, each beside a stated floor or limit measured in the same run.

``python -m tests.bench`` prints all of them; ``python -m tests.bench kernel`` one part; the replanning takes
numbers of plots too: ``python -m tests.bench replanning 2500``. Timings here inform; they never decide a
test. The replanning needs PostgreSQL, see tests/services.py, and some minutes.
"""

import os
import sys

from tests.bench.ground import ground
from tests.bench.kernel import kernel
from tests.bench.layouts import layouts
from tests.bench.letters import letters
from tests.bench.records import records
from tests.bench.replanning import replanning
from tests.bench.resting import SITE_PLOTS, resting
from tests.bench.single_plans import single_plans

PLOTS = (2500, 5000, 10_000)


def main(words: list[str]) -> None:
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the start")
    wanted = {word for word in words if not word.isdecimal()} or {"plans", "kernel", "replanning", "layouts"}
    if "plans" in wanted:
        single_plans()
    if "kernel" in wanted:
        kernel(plots=max(PLOTS))
    sizes = [int(word) for word in words if word.isdecimal()]
    if "layouts" in wanted:
        layouts()
    if "replanning" in wanted:
        replanning(sizes or PLOTS)
    if "letters" in wanted:
        letters(max(sizes or PLOTS))
    if "records" in wanted:
        records()
    if "resting" in wanted:
        resting(sizes or [SITE_PLOTS])
    if "ground" in wanted:
        ground(sizes or [max(PLOTS)])


if __name__ == "__main__":
    main(sys.argv[1:])
