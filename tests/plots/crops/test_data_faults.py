import shutil
from pathlib import Path

import pytest

import plots.crops
from plots.crops import CropDataFault
from plots.crops.loading import load_crops

DATA = Path(plots.crops.__file__).parent / "data"


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(DATA, tmp_path / "data")


def change(folder, file, old, new):
    text = (folder / file).read_text(encoding="utf-8")
    assert text.count(old) >= 1
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_packaged_files_load(folder):
    assert len(load_crops(folder)) == 58


FAULTS = [
    ("facts.csv", "sow_depth_mm,10,mm", "sow_depth_mm,10,cm", (4, "unit", "'mm', not 'cm'")),
    ("facts.csv", "sow_depth_mm,10,mm", "sow_depth_mm,,mm", (4, "value", "empty")),
    ("facts.csv", "sow_depth_mm,10,mm", "sow_depth_mm,ten,mm", (4, "value", "not a number")),
    ("facts.csv", "sow_depth_mm,10,mm", "sow_depth_mm,inf,mm", (4, "value", "not a finite number")),
    ("facts.csv", "sow_depth_mm,10", "depth,10", (4, "fact", "'depth'")),
    ("facts.csv", "carrot-early,is_root", "mangel,is_root", (2, "crop", "'mangel' is not in crops.csv")),
    ("facts.csv", "is_root,yes,", "is_root,maybe,", (2, "value", "yes, no")),
    ("facts.csv", "common practice,practice", "common practice,nowhere", (2, "source", "'nowhere'")),
    ("facts.csv", "common practice,practice", "read,practice", (2, "basis", "does not fit")),
    ("facts.csv", "common practice,practice", "hearsay,practice", (2, "basis", "hearsay")),
    ("facts.csv", "carrot-early,crop_type", "carrot-early,is_root", (3, "fact", "already given on row 2")),
    ("facts.csv", "10;25;50", "25;10;50", (7, "value", "above the one before")),
    (
        "facts.csv",
        "flight,carrot-fly",
        "flight,hover-fly",
        (31, "value", "hover-fly is not one of bean-seed-fly"),
    ),
    ("facts.csv", "flight,carrot-fly", "flight,carrot-fly;carrot-fly", (31, "value", "twice")),
    ("facts.csv", "20;30;30;20", "20;30;30;30", (44, "value", "add up to 100")),
    ("facts.csv", "20;30;30;20", "20;30;50", (44, "value", "4 shares")),
    ("facts.csv", "20;30;30;20", "-20;40;60;20", (44, "value", "none below 0")),
    ("facts.csv", "killed_at_c,-1,C", "killed_at_c,1,C", (47, "value", "below killed_at_c")),
    (
        "facts.csv",
        "overwinters_young,no",
        "overwinters_young,yes",
        (49, "value", "needs autumn_soil_c beside it"),
    ),
    ("facts.csv", "bolting,vernalised", "bolting,nettled", (55, "value", "nettled")),
    (
        "facts.csv",
        "bolting,vernalised",
        "bolting,vernalised;long-days",
        (55, "value", "needs bolt_day_hours"),
    ),
    ("facts.csv", "vernal_most_cd,336", "vernal_most_cd,36", (60, "value", "below vernal_first_cd")),
    ("facts.csv", "packet_seeds,500,seeds", "packet_seeds,500,g", (53, "unit", "'seeds', not 'g'")),
    ("facts.csv", "14;25;38", "14;25", (8, "value", "as many values as thin_spacings_mm: 3")),
    ("facts.csv", "cautions,netting,", "cautions,nettles,", (34, "value", "nettles")),
    ("facts.csv", "maturity_min,60", "maturity_min,80", (16, "value", "below days_to_maturity_min")),
    ("facts.csv", "carrot-early,base_c,4,C,read,zhao-2019\n", "", (2, "key", "base_c for carrot-early")),
    ("facts.csv", "carrot-early,is_root,yes,,", "carrot-early,is_root,yes,", (2, "crop", "5 cells")),
    ("facts.csv", "crop,fact,value", "crop,value,fact", (1, "header", "crop,fact,value")),
    ("crops.csv", "seed,carrot\n", "seed,carrots\n", (2, "germination_table", "'carrots'")),
    ("crops.csv", "seed,carrot\n", "seed,\n", (2, "germination_table", "needs a germination table")),
    ("crops.csv", "seed,carrot\n", "root,carrot\n", (2, "grown_from", "seed, set, tuber")),
    ("crops.csv", "carrot-maincrop,", "carrot-early,", (3, "key", "already given on row 2")),
    ("germination.csv", "carrot,5,51,", "carrot,5,,", (3, "days", "needs its days")),
    ("germination.csv", "carrot,0,,", "carrot,0,90,", (2, "days", "must be empty")),
    ("germination.csv", "carrot,10,", "carrot,5,", (4, "soil_c", "already given on row 3")),
    ("germination.csv", "carrot,10,", "carrot,4,", (4, "soil_c", "must rise")),
    ("germination.csv", "carrot,5,51,measured", "carrot,5,51,guessed", (3, "days_status", "guessed")),
    ("sources.csv", "alberta-soil,", "alberta-soil,,", (2, "id", "3 cells")),
    ("gaps.csv", "parsnip,", "mangel,", (2, "crop", "'mangel' is not in crops.csv")),
    ("gaps.csv", "crop,fact,why\n", "crop,fact,why\nswede,colour,x\n", (2, "fact", "'colour'")),
    ("gaps.csv", "crop,fact,why\n", "crop,fact,why\nswede,base_c,x\n", (2, "fact", "take this line out")),
    ("gaps.csv", "rocket,base_c,no published figure was found\n", "", (42, "key", "base_c for rocket")),
]


@pytest.mark.parametrize(("file", "old", "new", "found"), FAULTS)
def test_a_fault_names_file_row_and_column(folder, file, old, new, found):
    change(folder, file, old, new)
    with pytest.raises(CropDataFault) as caught:
        load_crops(folder)
    row, column, words = found
    fault = caught.value
    expected_file = "crops.csv" if column == "key" else file
    assert (fault.file, fault.row, fault.column) == (expected_file, row, column)
    assert words in str(fault)


def test_a_missing_file_is_named(folder):
    (folder / "germination.csv").unlink()
    with pytest.raises(CropDataFault, match=r"germination\.csv.*missing"):
        load_crops(folder)
