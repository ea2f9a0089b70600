"""Events, sightings, other uses and a society's own rules: entered, judged by at once, withdrawn and kept."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from plots.custom_services import customs_row, customs_save
from plots.ground_event_services import ground_event_add, ground_event_withdraw
from plots.ground_history import ground_history, problems_told
from plots.ground_places import piece_drawn, whole_bed, whole_plot
from plots.ground_services import ground_check
from plots.models import GroundEvent, GroundVerdict, OtherUse, Sighting, SocietyRest, Sowing
from plots.other_use_services import other_use_add, other_use_withdraw
from plots.outlines import rectangle
from plots.rotation import RestWish
from plots.sighting_services import sighting_add, sighting_confirm, sighting_tell, sighting_withdraw
from society.changes import StaleRow
from society.models import JournalEntry
from tests import factories

SINCE = date(2010, 1, 1)
TODAY = date(2025, 3, 1)
NOW = datetime(2025, 3, 1, 9, tzinfo=UTC)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE, normals=False)


def by(cast: factories.Cast) -> dict[str, Any]:
    return {"member": cast.ana, "account": cast.ana_account, "now": NOW}


def planned(bed: Any, crop: str, season: int = 2025, **fields: Any) -> Sowing:
    return factories.make_sowing(bed, crop, season=season, **fields)


def verdict(sowing: Sowing) -> GroundVerdict:
    return GroundVerdict.objects.get(sowing=sowing)


def seen(cast: factories.Cast, problem: str = "clubroot", on: date = date(2019, 6, 1)) -> Sighting:
    return sighting_add(place=whole_bed(cast.bed), problem=problem, seen_on=on, **by(cast))


# Sightings.


def test_a_sighting_judges_its_ground_at_once_and_a_withdrawal_again(cast: factories.Cast) -> None:
    sowing = planned(cast.bed, "turnip")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "sound"

    # Seen in 2019: 2020 to 2024 are five seasons, over the 4 and under the 7 that are published for it.
    sighting = seen(cast)
    assert (verdict(sowing).level, verdict(sowing).free_from_season) == ("possible", 2027)

    sighting_confirm(sighting=sighting, member=cast.dee, account=cast.dee_account, now=NOW)
    assert verdict(sowing).level == "short"
    assert "AHDB" in verdict(sowing).source

    sighting_withdraw(sighting=sighting, because="It was only drought.", account=cast.dee_account, now=NOW)
    assert verdict(sowing).level == "sound"
    kept = Sighting.objects.get()
    assert (kept.withdrawn_at, kept.withdrawn_because) == (NOW, "It was only drought.")
    assert kept.confirmed_by == cast.dee


def test_hosts_of_other_families_count_where_a_problem_was_seen(cast: factories.Cast) -> None:
    """Beet cyst nematode lives on the cabbage family too: 'beet after cabbage is no break'."""
    factories.make_sowing(cast.bed, "turnip", season=2024, state=Sowing.State.LIFTED)
    sowing = planned(cast.bed, "beetroot-early")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "sound"

    sighting = seen(cast, "beet-cyst-nematode", date(2018, 6, 1))
    sighting_confirm(sighting=sighting, member=cast.dee, account=cast.dee_account, now=NOW)

    assert (verdict(sowing).level, verdict(sowing).free_from_season) == ("broken", 2030)


def test_the_other_rules_that_object_are_kept_beside_the_worst(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "kale", season=2024, state=Sowing.State.LIFTED)
    sowing = planned(cast.bed, "turnip")
    seen(cast, on=date(2023, 6, 1))

    stored = verdict(sowing)
    assert (stored.level, stored.values["claim"]) == ("broken", "family")
    assert [(each["level"], each["values"]["claim"]) for each in stored.also] == [("possible", "problem")]


def test_a_problem_that_is_not_on_the_list_is_refused(cast: factories.Cast) -> None:
    with pytest.raises(ValidationError) as refused:
        seen(cast, "blight")
    assert "problem" in refused.value.message_dict
    assert not Sighting.objects.exists()


def test_a_sighting_is_withdrawn_once_and_for_a_reason(cast: factories.Cast) -> None:
    sighting = seen(cast)
    with pytest.raises(ValidationError, match="reason"):
        sighting_withdraw(sighting=sighting, because="no", account=None, now=NOW)
    sighting_withdraw(sighting=sighting, because="Mistaken for thrips", account=None, now=NOW)
    with pytest.raises(ValidationError, match="already"):
        sighting_withdraw(sighting=sighting, because="Mistaken for thrips", account=None, now=NOW)


def test_who_was_slower_does_not_confirm_what_was_changed_meanwhile(cast: factories.Cast) -> None:
    sighting = seen(cast)
    sighting_tell(sighting=sighting, tell=True, version=1, account=None, now=NOW)
    with pytest.raises(StaleRow):
        sighting_confirm(sighting=sighting, member=cast.dee, version=1, account=None, now=NOW)


def told(*plots: Any) -> list[list[tuple[str, bool]]]:
    found = problems_told(plots)
    return [[(each.problem.key, each.is_sure) for each in found[plot.pk]] for plot in plots]


def test_neighbours_are_told_only_when_the_committee_says_so(cast: factories.Cast) -> None:
    far = factories.make_plot(cast.site, "40", laid_out_on=SINCE, corner=(0.0, 90.0))
    sighting = seen(cast)
    assert told(cast.other_plot) == [[]]

    sighting_tell(sighting=sighting, tell=True, account=None, now=NOW)
    assert told(cast.other_plot, cast.plot, far) == [[("clubroot", False)], [], []]

    sighting_confirm(sighting=sighting, member=cast.dee, account=None, now=NOW)
    assert told(cast.other_plot) == [[("clubroot", True)]]

    sighting_withdraw(sighting=sighting, because="It was only drought.", account=None, now=NOW)
    assert told(cast.other_plot) == [[]]


def test_a_new_plot_on_the_old_ground_is_not_told_of_itself(cast: factories.Cast) -> None:
    """Plot 7 was halved: the western half has the ground where it was seen, the eastern is beside it."""
    west = factories.make_plot(
        cast.site, "7A", laid_out_on=SINCE, outline=rectangle((0.0, 0.0), length_m=10, width_m=8)
    )
    east = factories.make_plot(
        cast.site, "7B", laid_out_on=SINCE, outline=rectangle((10.0, 0.0), length_m=10, width_m=8)
    )
    sighting_tell(sighting=seen(cast), tell=True, account=None, now=NOW)
    assert told(west, east) == [[], [("clubroot", False)]]


# Other uses.


def test_mustard_is_a_brassica(cast: factories.Cast) -> None:
    sowing = planned(cast.bed, "turnip")
    use = other_use_add(
        place=whole_bed(cast.bed), name="mustard", family="Brassicaceae", first_season=2024, **by(cast)
    )
    assert verdict(sowing).level == "broken"
    assert verdict(sowing).values["earlier_crops"] == ["mustard"]

    other_use_withdraw(use=use, account=cast.ana_account, now=NOW)
    assert verdict(sowing).level == "sound"
    assert OtherUse.objects.get().withdrawn_at == NOW


def test_a_third_of_a_plot_somewhere_only_may_matter(cast: factories.Cast) -> None:
    sowing = planned(cast.bed, "turnip")
    other_use_add(
        place=whole_plot(cast.plot), name="mustard", family="Brassicaceae", first_season=2024,
        is_coarse=True, **by(cast),
    )  # fmt: skip
    assert verdict(sowing).level == "possible"


def test_a_use_keeps_its_seasons_in_order(cast: factories.Cast) -> None:
    with pytest.raises(ValidationError) as refused:
        other_use_add(
            place=whole_bed(cast.bed), name=" ", family="Rubbish", first_season=2024, last_season=2023,
            **by(cast),
        )  # fmt: skip
    assert set(refused.value.message_dict) == {"name", "family", "last_season"}


# Containers.


def tub(cast: factories.Cast, name: str = "tub") -> Any:
    return factories.make_bed(
        cast.plot, name, since=date(2024, 3, 1), outline=cast.bed.outline, kind="container", height_m=0.5
    )


def test_fresh_mix_has_no_past_though_the_ground_under_it_has(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "carrot-early", season=2024, state=Sowing.State.LIFTED)
    sowing = planned(tub(cast), "carrot-early")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "sound"


def test_mix_that_is_used_again_carries_its_crops(cast: factories.Cast) -> None:
    container = tub(cast)
    factories.make_sowing(container, "carrot-early", season=2024, state=Sowing.State.LIFTED)
    in_it, on_the_ground = planned(container, "parsnip"), planned(cast.bed, "parsnip")
    ground_check(site=cast.site, now=NOW)
    assert (verdict(in_it).level, verdict(on_the_ground).level) == ("broken", "sound")


def test_what_grew_before_fresh_mix_went_in_counts_no_more(cast: factories.Cast) -> None:
    container = tub(cast)
    lifted = {"state": Sowing.State.LIFTED, "sown_on": date(2024, 4, 1), "ended_on": date(2024, 9, 1)}
    factories.make_sowing(container, "carrot-early", season=2024, **lifted)
    sowing = planned(container, "parsnip")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "broken"

    event = ground_event_add(place=whole_bed(container), kind="mix_fresh", on=date(2025, 2, 1), **by(cast))
    assert verdict(sowing).level == "sound"

    ground_event_withdraw(event=event, account=None, now=NOW)
    assert verdict(sowing).level == "broken"


def test_what_grew_since_fresh_mix_went_in_counts(cast: factories.Cast) -> None:
    container = tub(cast)
    ground_event_add(place=whole_bed(container), kind="mix_fresh", on=date(2024, 3, 20), **by(cast))
    lifted = {"state": Sowing.State.LIFTED, "sown_on": date(2024, 4, 1), "ended_on": date(2024, 9, 1)}
    factories.make_sowing(container, "carrot-early", season=2024, **lifted)
    sowing = planned(container, "parsnip")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "broken"


def test_a_problem_goes_out_with_the_mix(cast: factories.Cast) -> None:
    container = tub(cast)
    seen_there = {"place": whole_bed(container), "problem": "clubroot", "seen_on": date(2024, 6, 1)}
    sighting_add(**seen_there, **by(cast))
    sowing = planned(container, "turnip")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "possible"

    ground_event_add(place=whole_bed(container), kind="mix_fresh", on=date(2025, 2, 1), **by(cast))
    assert verdict(sowing).level == "sound"


def test_fresh_mix_goes_into_a_container_that_is_empty_and_there(cast: factories.Cast) -> None:
    container = tub(cast)
    mix = {"kind": "mix_fresh", "on": date(2025, 2, 1), **by(cast)}
    with pytest.raises(ValidationError, match="into a whole container"):
        ground_event_add(place=whole_bed(cast.bed), **mix)
    with pytest.raises(ValidationError, match="into a whole container"):
        ground_event_add(place=whole_plot(cast.plot), **mix)
    with pytest.raises(ValidationError, match="is there from 2024-03-01 on"):
        ground_event_add(**{"place": whole_bed(container), **mix, "on": date(2024, 2, 1)})
    standing = factories.make_sowing(container, "leek", season=2024, state="sown", sown_on=date(2024, 5, 1))
    with pytest.raises(ValidationError, match="still stands in tub"):
        ground_event_add(place=whole_bed(container), **mix)
    Sowing.objects.filter(pk=standing.pk).update(state="lifted", ended_on=date(2025, 1, 20))
    ground_event_add(place=whole_bed(container), **mix)
    with pytest.raises(ValidationError, match="entered already"):
        ground_event_add(place=whole_bed(container), **mix)


# Customs.


def keep(cast: factories.Cast, version: int | None = None, **rules: Any) -> None:
    values: dict[str, Any] = {"rests": {}, "root_after_root_seasons": 0, "failed_counts": True, **rules}
    customs_save(society=cast.society, version=version, account=cast.dee_account, now=NOW, **values)


def test_a_longer_rest_of_the_societys_own_is_judged_by_at_once(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "parsnip", season=2018, state=Sowing.State.LIFTED)
    sowing = planned(cast.bed, "carrot-early")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "sound"

    keep(cast, rests={"Apiaceae": RestWish(3, 8)})

    # 2019 to 2024 are six seasons between.
    assert (verdict(sowing).level, verdict(sowing).free_from_season) == ("short", 2027)
    assert "rule of this society" in verdict(sowing).source
    assert JournalEntry.objects.filter(action="customs.changed").count() == 1


def test_a_shorter_rest_needs_a_reason(cast: factories.Cast) -> None:
    with pytest.raises(ValidationError, match="reason"):
        keep(cast, rests={"Apiaceae": RestWish(1, 2)})
    keep(cast, rests={"Apiaceae": RestWish(1, 2, "New soil was brought in.")})
    assert SocietyRest.objects.get().because == "New soil was brought in."


def test_the_published_rest_is_no_rule_of_its_own(cast: factories.Cast) -> None:
    keep(cast, rests={"Apiaceae": RestWish(3, 5)})
    assert not SocietyRest.objects.exists()


def test_root_after_root_is_off_until_it_is_wanted(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "beetroot-early", season=2024, state=Sowing.State.LIFTED)
    sowing = planned(cast.bed, "carrot-early")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "sound"

    keep(cast, root_after_root_seasons=1)
    assert (verdict(sowing).level, verdict(sowing).values["claim"]) == ("broken", "roots")


def test_failed_crops_count_unless_the_society_says_not(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "parsnip", season=2024, state=Sowing.State.CLEARED)
    sowing = planned(cast.bed, "carrot-early")
    ground_check(site=cast.site, now=NOW)
    assert verdict(sowing).level == "broken"

    keep(cast, failed_counts=False)
    assert verdict(sowing).level == "sound"


def test_rules_saved_over_older_ones_are_refused(cast: factories.Cast) -> None:
    keep(cast, version=1)
    assert customs_row(cast.society).version == 2
    with pytest.raises(StaleRow):
        keep(cast, version=1, root_after_root_seasons=2)


# Events.


def test_an_event_is_kept_when_it_is_withdrawn_and_found_by_its_ground(cast: factories.Cast) -> None:
    event = ground_event_add(place=whole_bed(cast.bed), kind="lime", on=date(2025, 2, 1), **by(cast))
    piece = rectangle((2.0, 1.5), length_m=1, width_m=1)

    assert [each.pk for each in ground_history(cast.site, piece).events] == [event.pk]
    assert ground_history(cast.site, cast.other_bed.outline).events == []

    ground_event_withdraw(event=event, account=cast.ana_account, now=NOW)
    assert GroundEvent.objects.get().withdrawn_at == NOW
    with pytest.raises(ValidationError, match="already"):
        ground_event_withdraw(event=event, account=cast.ana_account, now=NOW)


@pytest.mark.parametrize(
    ("wish", "fields"),
    [
        ({"kind": "ph"}, {"value"}),
        ({"kind": "ph", "value": 14.0}, {"value"}),
        ({"kind": "lime", "value": 6.5}, {"value"}),
        ({"kind": "lime", "until": date(2025, 2, 3)}, {"until"}),
        ({"kind": "shade", "until": date(2025, 1, 3)}, {"until"}),
        ({"kind": "lime", "on": date(2025, 3, 2)}, {"on"}),
        ({"kind": "gypsum"}, {"kind"}),
    ],
)
def test_an_event_that_cannot_be_is_refused(
    cast: factories.Cast, wish: dict[str, Any], fields: set[str]
) -> None:
    with pytest.raises(ValidationError) as refused:
        ground_event_add(**{"place": whole_bed(cast.bed), "on": date(2025, 2, 1), **by(cast), **wish})
    assert set(refused.value.message_dict) == fields
    assert not GroundEvent.objects.exists()


def test_a_piece_that_sticks_out_of_its_plot_is_refused(cast: factories.Cast) -> None:
    with pytest.raises(ValidationError, match=r"stick out 1\.00 m over the west side"):
        piece_drawn(cast.plot, rectangle((-1.0, 1.0), length_m=3, width_m=1))
