"""What holds for every sowing, in every climate, under every record."""

import json
import re
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from plots.crops import INSECTS, crops
from schedules.planner import Cover, Outcome, SiteFacts, State, plan_payload
from tests.schedules.planner.climates import TODAY, done, names, planned, request

CHAIN = ("warm", "sow", "cover", "weed", "thin", "necks", "lift", "store")
LOOSE = {"weed": "tend", "thin": "tend"}

days = st.integers(-60, 500).map(lambda each: TODAY + timedelta(days=each))
requests = st.builds(
    request,
    crop_key=st.sampled_from([crop.key for crop in crops()]),
    sow_on=st.none() | days,
    not_before=st.integers(0, 330).map(lambda each: TODAY + timedelta(days=each)),
    cover=st.sampled_from(list(Cover)),
)
places = st.builds(
    SiteFacts,
    latitude=st.floats(-68, 68),
    longitude=st.just(0.0),
    zone=st.just("UTC"),
    insects=st.sampled_from([frozenset(), INSECTS]),
)
waves = st.fixed_dictionaries({"mean_c": st.floats(-5, 28), "half_range_c": st.floats(0, 16)})
# A climate without a warmest time of the year has seasons only by the accident of rounding.
seasonal_waves = st.fixed_dictionaries({"mean_c": st.floats(2, 20), "half_range_c": st.floats(3, 16)})
job_names = st.sampled_from(
    ["warm", "sow", "cover", "weed-1", "weed-2", "thin-1", "thin-2", "thin-3", "necks", "lift", "store"]
)
outcomes = st.just(Outcome(State.NOT_NEEDED)) | st.builds(Outcome, st.just(State.PUT_OFF), days)
open_records = st.dictionaries(job_names.map(lambda name: f"s1/{name}"), outcomes, max_size=4)


def counted(answer):
    """The jobs whose order is kept: those in the chain that are not struck out."""
    return [job for job in answer.jobs if job.kind in CHAIN and job.state is not State.NOT_NEEDED]


@settings(max_examples=150, deadline=None)
@given(requests, places, waves, open_records)
def test_from_best_and_by_keep_their_order_along_every_sowing(asked, place, wave, record):
    jobs = counted(planned(asked, site=place, record=record, **wave))
    for earlier, later in pairwise(jobs):
        assert earlier.window.start <= later.window.start
        assert earlier.window.best <= later.window.best
        assert earlier.window.by <= later.window.by


@settings(max_examples=100, deadline=None)
@given(requests, places, waves)
def test_jobs_come_in_the_order_of_the_work(asked, place, wave):
    kinds = [LOOSE.get(job.kind, str(job.kind)) for job in counted(planned(asked, site=place, **wave))]
    order = list(dict.fromkeys(LOOSE.get(kind, kind) for kind in CHAIN))
    assert kinds == sorted(kinds, key=order.index)


@settings(max_examples=60, deadline=None)
@given(requests, places, waves)
def test_the_same_input_gives_the_same_json(asked, place, wave):
    first, again = (
        json.dumps(plan_payload(planned(asked, site=place, **wave)), sort_keys=True) for _ in range(2)
    )
    assert first == again


@settings(max_examples=60, deadline=None)
@given(requests, places, waves)
def test_every_key_is_the_requests_own_and_unlike_the_others(asked, place, wave):
    keys = [job.key for job in planned(asked, site=place, **wave).jobs]
    assert len(set(keys)) == len(keys)
    assert all(re.fullmatch(r"s1/[a-z_]+(-[1-9])?", key) for key in keys)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([crop.key for crop in crops()]), st.floats(9, 12), st.integers(0, 25))
def test_keys_stay_when_weather_and_dates_move(crop_key, mean_c, later):
    before = planned(request(crop_key, sow_on=date(2027, 4, 10)), mean_c=10.0)
    after = planned(request(crop_key, sow_on=date(2027, 4, 10) + timedelta(days=later)), mean_c=mean_c)
    # What is ripe too long before it grows cool is eaten, so that storing may come and go.
    lasting = {"sow", "weed-1", "thin-1", "lift"}
    assert lasting & set(names(before)) == lasting & set(names(after))


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([crop.key for crop in crops()]), st.integers(1, 30), seasonal_waves)
def test_sowing_later_never_brings_anything_forward(crop_key, later, wave):
    sown = date(2027, 3, 20)
    asked = request(crop_key, sow_on=sown)
    early, late = (
        planned(asked, record={"s1/sow": done(day)}, **wave) for day in (sown, sown + timedelta(days=later))
    )
    lifting = [[job.window for job in answer.jobs if job.kind == "lift"] for answer in (early, late)]
    assert len(lifting[0]) == len(lifting[1])
    for before, after in zip(*lifting, strict=True):
        assert before.start <= after.start
        assert before.by <= after.by


@settings(max_examples=60, deadline=None)
@given(requests, waves, job_names)
def test_what_is_not_needed_never_holds_anything_up(asked, wave, name):
    free = planned(asked, **wave)
    skipped = planned(asked, record={f"s1/{name}": Outcome(State.NOT_NEEDED)}, **wave)
    starts = {job.key: job.window.start for job in free.jobs}
    assert {job.key for job in skipped.jobs} == set(starts)
    assert all(job.window.start <= starts[job.key] for job in skipped.jobs)
