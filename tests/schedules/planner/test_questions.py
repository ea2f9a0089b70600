"""What sowings ask alike: one answer serves them, and it is the answer that each would get alone."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from plots.crops import Crop, crops
from schedules.planner import SowingRequest, plan
from schedules.planner.questions import Book, answered, marks_of, question_of
from schedules.planner.site_curves import SiteCurves
from schedules.planning_pool import Asked, planners
from tests.schedules.planner.climates import NORTH, TODAY, done, request, yearly_wave

FIRST = date(2026, 3, 1)
WEATHER = yearly_wave(FIRST, 1500)
ASKED = date(2027, 4, 20)


@pytest.fixture(scope="module")
def shared() -> SiteCurves:
    return SiteCurves(WEATHER, NORTH)


def told(asked: SowingRequest, record: dict, shared: SiteCurves, today: date) -> tuple:
    """The kept answer of a plan made alone under its own name, with what its explanations say."""
    alone = plan(asked, NORTH, WEATHER, record, today, shared)
    book = Book()
    answer = book.answer(alone)
    return [line[:-1] for line in answer.lines], answer.sow, answer.shows, _said(answer, book.told)


def _said(answer, explanations) -> list:
    return [explanations[key] for key in (*(line.told for line in answer.lines), answer.told)]


@pytest.mark.parametrize("crop", crops(), ids=lambda crop: crop.key)
@pytest.mark.parametrize("not_before", [date(2026, 12, 1), date(2027, 4, 10), date(2027, 5, 1)])
def test_one_answer_is_the_answer_that_each_would_get_alone(
    crop: Crop, not_before: date, shared: SiteCurves
) -> None:
    for sow_on in (None, ASKED):
        asked = SowingRequest("mine", crop, sow_on, not_before)
        question = question_of(asked, ())
        both = answered(question, [()], shared, TODAY)
        answer = both.answers[()]
        shared_answer = (
            [line[:-1] for line in answer.lines],
            answer.sow,
            answer.shows,
            _said(answer, both.told),
        )
        assert shared_answer == told(asked, {}, shared, TODAY)


def test_records_of_later_jobs_change_the_lines_and_share_the_explanations(shared: SiteCurves) -> None:
    today = date(2027, 6, 20)
    asked = request("carrot-maincrop", sow_on=ASKED)
    plain = marks_of({"s1/sow": done(ASKED)}, "s1")
    weeded = marks_of({"s1/sow": done(ASKED), "s1/weed-1": done(date(2027, 6, 1))}, "s1")
    assert question_of(asked, plain).digest == question_of(asked, weeded).digest
    both = answered(question_of(asked, plain), [plain, weeded], shared, today)
    lines = [{line.name: line for line in both.answers[marks].lines} for marks in (plain, weeded)]
    assert lines[1]["weed-1"].done_on == date(2027, 6, 1)
    assert lines[0]["weed-1"].done_on is None
    assert lines[0]["lift"].told == lines[1]["lift"].told


def test_those_who_are_told_the_same_share_the_words(shared: SiteCurves) -> None:
    """A weeding says nothing of its day, so that sowings of two days are told of it in one row."""
    told = [
        answered(question_of(request("carrot-maincrop", sow_on=day), ()), [()], shared, TODAY).told
        for day in (ASKED, ASKED + timedelta(days=9))
    ]
    rules = [{each.content for each in words.values() if each.rule == "weed_the_rows"} for words in told]
    assert rules[0]
    assert rules[0] == rules[1]


@pytest.mark.parametrize(
    "changes",
    [
        {"sow_on": ASKED + timedelta(days=1)},
        {"crop_key": "parsnip"},
        {"cover": "fleece"},
        {"container_height_cm": 40.0},
        {"same_family_last_year": True},
        {"growth_factor": 1.1},
    ],
    ids=str,
)
def test_another_question_is_another_question(changes: dict) -> None:
    plain = {"crop_key": "carrot-early", "sow_on": ASKED}
    assert question_of(request(**plain), ()).digest != question_of(request(**plain | changes), ()).digest


def test_a_name_makes_no_other_question() -> None:
    assert question_of(request(key="a"), ()) == question_of(request(key="b"), ())


def test_a_question_that_cannot_be_planned_is_answered_with_its_fault(shared: SiteCurves) -> None:
    both = answered(question_of(request(sow_on=date(1950, 1, 1)), ()), [()], shared, TODAY)
    answer = both.answers[()]
    assert (answer.lines, answer.sow) == ((), (None, None, None))
    assert "1950-01-01" in both.told[answer.told].warnings


def test_helpers_answer_as_one_process_does(monkeypatch: pytest.MonkeyPatch) -> None:
    marks = marks_of({"s1/sow": done(ASKED)}, "s1")
    asked = [
        Asked(question_of(request("carrot-maincrop", sow_on=ASKED), marks), (marks,)),
        *(Asked(question_of(request(key), ()), ((),)) for key in ("parsnip", "leek", "potato-early")),
    ]
    today = date(2027, 5, 1)
    with planners(NORTH, WEATHER, today, sowings=len(asked)) as ask:
        alone = ask(asked)()
    monkeypatch.setattr("schedules.planning_pool.WORTH_HELPERS", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    with planners(NORTH, WEATHER, today, sowings=len(asked)) as ask:
        assert ask(asked)() == alone
    assert any(line.done_on for line in alone[0].answers[marks].lines)


def test_what_fails_with_a_helper_fails_where_it_was_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("schedules.planning_pool.WORTH_HELPERS", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    odd = replace(question_of(request(), ()), heeded=(("sow", "odd"),))
    with (
        planners(NORTH, WEATHER, TODAY, sowings=1) as ask,
        pytest.raises(AttributeError),
    ):
        ask([Asked(odd, ((),))])()
