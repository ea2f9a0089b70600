"""Every package that the project brings in is pinned, the transitive ones too."""

import re
import tomllib
from importlib.metadata import Distribution, distributions
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
DIRECT = [*PROJECT["project"]["dependencies"], *PROJECT["dependency-groups"]["dev"]]
# Left out by an override: only the code of packages taken for their data would need them.
LEFT_OUT = {Requirement(line).name.lower() for line in PROJECT["tool"]["uv"]["override-dependencies"]}
TRANSITIVE = PROJECT["tool"]["uv"]["constraint-dependencies"]


def canonical(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def needs(package: Distribution, extras: frozenset[str]) -> list[Requirement]:
    """What a package asks for on this machine, with the extras that were asked of it."""
    asked = [Requirement(line) for line in package.requires or []]
    return [
        each
        for each in asked
        if each.marker is None or any(each.marker.evaluate({"extra": extra}) for extra in {"", *extras})
    ]


def brought_in() -> dict[str, str]:
    """Every package that the direct ones lead to, with the version that is installed."""
    here = {canonical(each.name): each for each in distributions()}
    found: dict[str, str] = {}
    seen: set[tuple[str, frozenset[str]]] = set()
    waiting = [Requirement(line) for line in DIRECT]
    while waiting:
        asked = waiting.pop()
        if canonical(asked.name) in LEFT_OUT:
            continue
        step = (canonical(asked.name), frozenset(asked.extras))
        if step in seen:
            continue
        seen.add(step)
        package = here[step[0]]
        found[step[0]] = package.version
        waiting += needs(package, step[1])
    return found


def test_every_package_brought_in_is_pinned_at_its_version() -> None:
    pins = dict(line.split("==") for line in [*DIRECT, *TRANSITIVE])
    pinned = {canonical(name.partition("[")[0]): version for name, version in pins.items()}
    found = brought_in()
    assert len(found) > len(DIRECT)
    assert found == {name: version for name, version in pinned.items() if name in found}
