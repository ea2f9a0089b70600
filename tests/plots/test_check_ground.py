"""`manage.py check_ground` says what it found, and what to type when it cannot look."""

import json
from datetime import date
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from plots import ground_report
from plots.models import GroundVerdict, Sowing
from tests import factories

SINCE = date(2010, 1, 1)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def march_2025(settings: Any) -> None:
    settings.PRETEND_TODAY = "2025-03-01"


@pytest.fixture
def cast() -> factories.Cast:
    cast = factories.make_cast(since=SINCE, normals=False)
    factories.make_sowing(cast.bed, "parsnip", season=2023, state=Sowing.State.LIFTED)
    factories.make_sowing(cast.bed, "carrot-early", season=2025)
    factories.make_sowing(cast.other_bed, "onion-sets", season=2025)
    return cast


def check_ground(*words: str) -> str:
    out = StringIO()
    call_command("check_ground", *words, stdout=out)
    return out.getvalue()


def as_json(*words: str) -> list[dict[str, Any]]:
    return json.loads(check_ground("--json", *words))


@pytest.mark.usefixtures("cast")
def test_it_prints_place_level_sentence_and_source() -> None:
    text = check_ground()

    assert "Plot 7, bed 1, Carrot, early, 2025: broken" in text
    assert "6.00 m² (100 %) of this ground carried the carrot family (Parsnip in 2023)." in text
    assert "Source: European integrated pest management" in text
    assert "What else would fit there in 2025, by the record of this ground: " in text
    assert "beet family (beetroot (early), " in text
    assert "parsnip, " not in text
    assert text.strip().endswith("2 sowings judged: 1 broken, 1 sound.")


@pytest.mark.usefixtures("cast")
def test_the_worst_comes_first_and_sound_ground_has_a_line_of_its_own() -> None:
    lines = check_ground().splitlines()

    assert lines[0].endswith(": broken")
    assert lines[-2].endswith(": sound")
    assert sum(line.startswith("  Source:") for line in lines) == 1


@pytest.mark.usefixtures("cast")
def test_a_plot_asked_for_is_told_of_in_full() -> None:
    text = check_ground("--plot", "8")

    assert "No crop of the" in text
    assert "Source: " in text


@pytest.mark.usefixtures("cast")
def test_with_very_many_warnings_a_plot_is_asked_for_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ground_report, "MOST_FITTED", 0)

    assert "Ask for one plot with --plot to hear what else would fit there." in check_ground()
    assert [row["fits"] for row in as_json()] == [None, None]


@pytest.mark.usefixtures("cast")
def test_the_verdicts_are_kept() -> None:
    check_ground()

    assert sorted(GroundVerdict.objects.values_list("level", flat=True)) == ["broken", "sound"]


@pytest.mark.usefixtures("cast")
def test_json_carries_what_a_reader_needs() -> None:
    [found] = as_json("--plot", "7")

    assert (found["plot"], found["bed"], found["crop"], found["season"]) == (
        "7",
        "bed 1",
        "carrot-early",
        2025,
    )
    assert (found["level"], found["area_m2"], found["share"], found["free_from"]) == (
        "broken",
        6.0,
        1.0,
        2029,
    )
    [overlap] = found["overlaps"]
    assert (overlap["crop"], overlap["last_season"], overlap["seasons_between"]) == ("parsnip", 2023, 1)
    assert found["source"]
    assert {"beetroot-early", "pea"} < set(found["fits"])
    assert "parsnip" not in found["fits"]
    assert "under the minimum of 3" in found["text"]


@pytest.mark.usefixtures("cast")
def test_one_season_can_be_asked_for() -> None:
    assert [found["crop"] for found in as_json("--season", "2023")] == ["parsnip"]


def test_nothing_to_judge_is_said_and_is_no_error() -> None:
    factories.make_cast(since=SINCE, normals=False)

    assert check_ground().startswith("Nothing is planned or stands there")
    assert as_json() == []


def test_seasons_are_written_the_way_the_site_writes_them(cast: factories.Cast) -> None:
    cast.site.season_month = 7
    cast.site.save()

    text = check_ground("--plot", "7")

    assert "2025/26: broken" in text
    assert "free for this family from 2029/30" in text


@pytest.mark.usefixtures("cast")
@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--plot", "99"], "--plot: no plot has the number '99'; the plots are: 7, 8"),
        (["--season", "soon"], "--season: 'soon' is not a year"),
        (["--season", "-2025"], "--season: '-2025' is not a year"),
        (["--season", "2031"], "--season: nothing is on record for 2031; seasons with sowings: 2023, 2025"),
        (["--plot", "8", "--season", "2023"], "nothing is on plot 8 for 2023; seasons with sowings: 2025"),
        (["--site", "elm"], "--site: no site is called 'elm'; use one of: alder-lane"),
    ],
)
def test_a_wrong_option_is_named_with_its_remedy(words: list[str], message: str) -> None:
    joined = [f"{words[at]}={words[at + 1]}" for at in range(0, len(words), 2)]
    with pytest.raises(CommandError) as fault:
        check_ground(*joined)

    assert message in str(fault.value)


def test_a_plot_number_on_two_sites_asks_which(cast: factories.Cast) -> None:
    second = factories.make_site(cast.society, name="Elm Row")
    factories.make_plot(second, "7", laid_out_on=SINCE)

    with pytest.raises(CommandError, match=r"several sites; add --site with one of: alder-lane, elm-row"):
        check_ground("--plot", "7")
    assert len(as_json("--plot", "7", "--site", "alder-lane")) == 1


def test_without_a_site_it_says_so() -> None:
    with pytest.raises(CommandError, match="no site yet"):
        check_ground()


def test_a_faulty_sowing_stops_it_by_name(cast: factories.Cast) -> None:
    wrong = factories.make_sowing(cast.bed, "carot-early", season=2025)

    with pytest.raises(CommandError, match=rf"sowing {wrong.pk} .*No verdict of that site was changed"):
        check_ground()
