"""The weekly letter: what it says, in whose units, and the message that carries it."""

import re
from datetime import date
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import settings as bounds
from hypothesis import strategies as st

from schedules.letter_messages import message as message_of
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.selectors import jobs_due
from schedules.weekly_letters import weekly_letter
from tests import factories

pytestmark = pytest.mark.django_db

SINCE = date(2020, 1, 1)
TODAY = date(2027, 4, 12)
THINNING = {"spacing_mm": 25, "stage": 1, "stages": 2, "after_days": 10, "basis": "years", "basis_years": 10}


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE)


def make_job(
    cast: factories.Cast,
    kind: str = "necks",
    *,
    start_on: date = TODAY,
    rule: str = "feel_necks",
    **fields: Any,
) -> Any:
    sowing = factories.make_sowing(cast.bed, season=2027)
    return factories.make_job(sowing, kind, start_on=start_on, rule=rule, **fields)


def test_a_caution_is_told_in_full_once_and_then_by_its_number(cast):
    for day in (12, 13, 14):
        make_job(cast, start_on=date(2027, 4, day), cautions=["sap"])
    text = " ".join(weekly(cast).text.split())
    assert text.count("Wear gloves") == 1
    assert text.count("Take care: as under 1.") == 2
    assert text.index("Wear gloves") < text.index("2. ") < text.index("as under 1.")


def make_warning(cast: factories.Cast, **fields: Any) -> Any:
    values = {"crop": "Carrot", "family": "Apiaceae"}
    sowing = factories.make_sowing(cast.bed, season=2027, **fields)
    return factories.make_verdict(
        sowing,
        level="broken",
        judged_at=factories.instant(TODAY),
        rule="rotation-no-rule",
        values=values,
    )


def weekly(cast: factories.Cast, *, reader: Any = None) -> Letter:
    return weekly_letter(member=cast.ana, reader=reader or cast.ana, today=TODAY)


def parsed(cast: factories.Cast, letter: Letter) -> EmailMessage:
    row = Delivery(
        member=cast.ana,
        kind="weekly",
        message_id="<row@alderlane.example>",
        title=letter.title,
        text=letter.text,
        html=letter.html,
    )
    content = message_of(row, to=cast.ana.email).message().as_bytes(linesep="\r\n")
    return message_from_bytes(content, policy=policy.default)  # type: ignore[return-value]


def words(html: str) -> str:
    """What a reader of the HTML part sees, spaces made plain."""
    return " ".join(re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.S).split())


def test_a_letter_greets_its_reader_by_name(cast: factories.Cast) -> None:
    make_job(cast)
    assert weekly(cast).text.startswith("Dear Ana Orchard,\n")


def test_the_subject_counts_the_jobs_and_names_the_ground(cast: factories.Cast) -> None:
    make_job(cast)
    assert weekly(cast).title == "One job on plot 7, week from Monday 12 April"


def test_a_job_is_told_with_place_window_and_reason(cast: factories.Cast) -> None:
    make_job(cast)
    told = " ".join(weekly(cast).text.split())
    assert "Plot 7, bed 1" in told
    assert "From Monday 12 April, best on Tuesday 13 April, by Thursday 15 April." in told
    assert jobs_due([cast.plot], today=TODAY)[0].reason_text in told


def test_a_late_job_says_how_late_it_is(cast: factories.Cast) -> None:
    make_job(cast, start_on=date(2027, 4, 5))
    assert "Late by 4 days. It was due from 5 April, best on 6 April, by 8 April." in weekly(cast).text


def test_cautions_stand_with_their_job(cast: factories.Cast) -> None:
    make_job(cast, cautions=["netting"])
    letter = weekly(cast)
    caution = jobs_due([cast.plot], today=TODAY)[0].caution_texts[0]
    assert f"Take care: {caution}" in " ".join(letter.text.split())
    assert f"Take care: {caution}" in words(letter.html)


def test_both_parts_tell_the_same_jobs(cast: factories.Cast) -> None:
    make_job(cast)
    make_job(cast, "weed", start_on=date(2027, 4, 14), rule="weed_the_rows", values=THINNING)
    letter = weekly(cast)
    titles = [job.title for job in jobs_due([cast.plot], today=TODAY)]
    assert len(titles) == len(letter.told["jobs"]) == 2
    assert all(title in letter.text and title in words(letter.html) for title in titles)


def test_lengths_are_in_the_readers_units(cast: factories.Cast) -> None:
    make_job(cast, "thin", rule="thin_to_spacing", values=THINNING)
    cast.col.units = "imperial"
    assert "25 mm" in weekly(cast).text
    assert "25 mm" not in weekly(cast, reader=cast.col).text
    assert "to 1 in" in weekly(cast, reader=cast.col).text


def test_a_stand_in_is_told_for_whom_it_is(cast: factories.Cast) -> None:
    make_job(cast)
    letter = weekly(cast, reader=cast.col)
    assert letter.title == "For Ana Orchard: one job on plot 7, week from Monday 12 April"
    assert letter.text.startswith("Dear Col Furrow,\n\nAna Orchard is away")
    assert "Ana Orchard is away" in words(letter.html)


def test_an_empty_week_is_said_in_words(cast: factories.Cast) -> None:
    letter = weekly(cast)
    assert letter.told == {"jobs": {}}
    assert "Nothing is due on plot 7 in the week from Monday 12 April." in letter.text


def test_ground_that_is_planned_unrested_is_told(cast: factories.Cast) -> None:
    make_warning(cast)
    letter = weekly(cast)
    assert "Ground that has not rested long enough" in letter.text
    assert "No rest period is on file for Carrot" in words(letter.html)


def test_what_already_stands_is_not_complained_of(cast: factories.Cast) -> None:
    make_warning(cast, state="sown", sown_on=TODAY)
    assert "rested" not in weekly(cast).text


def test_an_overruled_verdict_is_not_told(cast: factories.Cast) -> None:
    verdict = make_warning(cast)
    verdict.overruled_at = factories.instant(TODAY)
    verdict.save()
    assert "rested" not in weekly(cast).text


def test_the_page_of_the_week_is_linked_in_both_parts(cast: factories.Cast, settings: Any) -> None:
    settings.PUBLIC_URL = "https://plots.example"
    letter = weekly(cast)
    assert "https://plots.example/" in letter.text
    assert 'href="https://plots.example/' in letter.html


def test_the_voice_is_calm(cast: factories.Cast) -> None:
    make_job(cast, cautions=["netting"])
    letter = weekly(cast)
    assert "!" not in letter.title + letter.text + words(letter.html)


def test_the_html_needs_nothing_from_elsewhere(cast: factories.Cast) -> None:
    make_job(cast)
    assert not re.search(r"<img|<script|<link|src=|url\(|@import", weekly(cast).html)


def test_styles_are_inlined_and_a_dark_screen_has_its_own(cast: factories.Cast) -> None:
    make_job(cast)
    html = weekly(cast).html
    assert re.search(r'<body style="[^"]*color: #1e1b16', html)
    assert "@media (prefers-color-scheme: dark)" in html


@pytest.mark.parametrize(
    ("ink", "paper"),
    [
        ("#1e1b16", "#fbf8f1"),
        ("#5a4632", "#fbf8f1"),
        ("#274b7a", "#fbf8f1"),
        ("#efe8d8", "#191613"),
        ("#cbb89c", "#191613"),
        ("#9dbfe8", "#191613"),
    ],
)
def test_every_ink_reads_on_its_paper(cast: factories.Cast, ink: str, paper: str) -> None:
    """Contrast of at least 4.5 to 1, by the formula of WCAG 2.2, success criterion 1.4.3."""
    html = weekly(cast).html
    assert ink in html
    assert paper in html
    lighter, darker = sorted((luminance(ink), luminance(paper)), reverse=True)
    assert (lighter + 0.05) / (darker + 0.05) >= 4.5


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_names_are_text_and_not_markup(cast: factories.Cast) -> None:
    cast.ana.name = "Ana <b>Orchard</b> & Sons"
    letter = weekly(cast)
    assert "Dear Ana <b>Orchard</b> & Sons," in letter.text
    assert "<b>Orchard" not in letter.html


# The message


def test_the_message_parses_without_a_defect(cast: factories.Cast) -> None:
    make_job(cast, cautions=["netting"])
    message = parsed(cast, weekly(cast))
    assert [message.defects, *(part.defects for part in message.walk())] == [[], [], [], []]


def test_text_comes_first_and_html_second(cast: factories.Cast) -> None:
    make_job(cast)
    message = parsed(cast, weekly(cast))
    kinds = [part.get_content_type() for part in message.walk()]
    assert kinds == ["multipart/alternative", "text/plain", "text/html"]


@pytest.mark.parametrize(
    ("header", "value"),
    [
        ("Message-ID", "<row@alderlane.example>"),
        ("Auto-Submitted", "auto-generated"),
        ("X-Auto-Response-Suppress", "All"),
        ("Content-Language", "en-gb"),
        ("List-Id", "<weekly.alder-lane-allotment-society.alderlane.example>"),
        ("From", "letters@alderlane.example"),
        ("To", "ana@alderlane.example"),
    ],
)
def test_the_message_says_what_it_is(cast: factories.Cast, settings: Any, header: str, value: str) -> None:
    settings.DEFAULT_FROM_EMAIL, settings.MAIL_DOMAIN = "letters@alderlane.example", "alderlane.example"
    assert parsed(cast, weekly(cast)).get_all(header) == [value]


def test_no_line_is_longer_than_a_mail_server_takes(cast: factories.Cast) -> None:
    """998 octets without the line's end: RFC 5322, section 2.1.1."""
    make_job(cast)
    letter = weekly(cast)
    row = Delivery(
        kind="weekly", title=letter.title, text=letter.text, html=letter.html, message_id="<a@b.c>"
    )
    content = message_of(row, to=cast.ana.email).message().as_bytes(linesep="\r\n")
    assert max(len(line) for line in content.split(b"\r\n")) <= 998


@given(name=st.text(min_size=1, max_size=120))
@example(name="Ana\r\nBcc: all@alderlane.example")
@example(name="\u202eAna\x00")
@bounds(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_name_makes_a_header_or_a_defect(cast: factories.Cast, name: str) -> None:
    cast.ana.name = name
    message = parsed(cast, weekly(cast, reader=cast.col))
    assert message.defects == []
    assert message["Bcc"] is None
    assert len(message.get_all("Subject", [])) == 1
