"""The invented society's own files: each fault is named by file, line and column."""

import shutil
from pathlib import Path

import pytest

from plots.crops import crop
from schedules.demo.layout import read_layout
from schedules.demo.tables import LayoutFault

FIXTURES = Path(__file__).resolve().parents[2] / "demo_fixtures"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FIXTURES, tmp_path / "fixtures"))


def spoil(folder: Path, file: str, line: int, old: str, new: str) -> None:
    path = folder / file
    lines = path.read_text(encoding="utf-8").splitlines()
    assert old in lines[line - 1]
    lines[line - 1] = lines[line - 1].replace(old, new, 1)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_the_fixtures_are_sound() -> None:
    layout = read_layout(FIXTURES)
    assert len(layout.plots) == 24
    assert [row.text("name") for row in layout.members if not row.maybe("email")] == [
        "Edda Reedham",
        "Wilf Ottermere",
    ]


def test_most_crops_of_the_catalogue_are_grown() -> None:
    grown = {each.course.crop for each in read_layout(FIXTURES).standing}
    assert len(grown) >= 50
    assert {"Fabaceae", "Cucurbitaceae", "Asteraceae", "Poaceae"} <= {crop(key).family for key in grown}


@pytest.mark.parametrize(
    ("file", "line", "old", "new", "column"),
    [
        ("beds.csv", 2, ",open,", ",heap,", "kind"),
        ("beds.csv", 3, "bed D", "bed A", "beds"),
        ("menus.csv", 5, "potato-early", "mandrake", "crop"),
        ("menus.csv", 2, "03-28", "02-30", "sow"),
        ("menus.csv", 2, "0,100", "60,40", "to_pct"),
        ("rotation.csv", 3, "bed B", "bed Z", "bed"),
        ("rotation.csv", 3, "B1", "Z9", "6_ago"),
        ("rotation.csv", 11, "R2@5-8", "R2@5-80", "2_ago"),
        ("plots.csv", 2, "dee", "nobody", "held_by"),
        ("members.csv", 18, "ros", "nobody", "away_with"),
        ("ground_notes.csv", 2, "manure_fresh", "guano", "kind"),
        ("ground_notes.csv", 4, "6.6", "acid", "ph"),
        ("ground_notes.csv", 10, "told", "sung", "state"),
        ("normals.csv", 4, "2.7", "cold", "tmin_c"),
    ],
)  # fmt: skip
def test_a_fault_names_file_line_and_column(
    folder: Path, file: str, line: int, old: str, new: str, column: str
) -> None:
    spoil(folder, file, line, old, new)
    with pytest.raises(LayoutFault) as fault:
        read_layout(folder)
    assert (fault.value.file, fault.value.line, fault.value.column) == (file, line, column)


def test_a_missing_file_is_named(folder: Path) -> None:
    (folder / "members.csv").unlink()
    with pytest.raises(LayoutFault, match=r"members\.csv"):
        read_layout(folder)
