"""Letters of every kind beside the standards of mail and of readable pages.

Internet messages: RFC 5322 (sections 2.1.1, 3.6, 3.6.4), multipart/alternative: RFC 2046 (section 5.1.4), the
name of a list: RFC 2919, automatic letters: RFC 3834. Read by Python's own parser, email.policy.default,
which notes every defect it meets. Pages: WCAG 2.2, success criteria 1.3.1, 1.4.3, 3.1.1 and 2.4.4.
"""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from html.parser import HTMLParser
from typing import Any

import pytest
import time_machine
from hypothesis import HealthCheck, example, given
from hypothesis import settings as bounds
from hypothesis import strategies as st

from schedules import deliveries
from schedules.deliveries.writing import message_of
from schedules.invitation_services import invitation_make
from schedules.models import Delivery
from schedules.notice_services import notice_make
from schedules.offer_services import plot_offer
from society.models import Member, Society
from tests import factories

pytestmark = pytest.mark.django_db

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 15)
NOW = datetime(2027, 4, 15, 13, tzinfo=UTC)
DAY = timedelta(days=1)
VOID = {"meta", "br", "link", "hr", "img"}
# RFC 5322, section 3.6: what stands once at least, and what stands once at most.
ONCE = ("Date", "From", "To", "Subject", "Message-ID", "MIME-Version")
AT_MOST_ONCE = (*ONCE, "References", "Reply-To", "Sender", "Cc", "Bcc", "In-Reply-To")
# RFC 5322, section 3.6.4, without its obsolete forms.
ATOM = r"[A-Za-z0-9!#$%&\'*+/=?^_`{|}~-]+"
MSG_ID = re.compile(rf"<{ATOM}(\.{ATOM})*@{ATOM}(\.{ATOM})*>")
# RFC 2919, section 2: labels and dots between angle brackets.
LIST_ID = re.compile(rf"<{ATOM}(\.{ATOM})+>")


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast() -> factories.Cast:
    cast = factories.make_cast(since=SINCE)
    factories.make_sowing(cast.other_bed, season=2027)
    return cast


def weekly(cast: factories.Cast) -> Delivery:
    sowing = factories.make_sowing(cast.bed, season=2027)
    factories.make_job(sowing, "sow", start_on=TODAY, cautions=["netting"])
    factories.make_delivery(cast.ana, local_date=TODAY - 7 * DAY, state="sent")
    return factories.make_delivery(cast.ana, local_date=TODAY)


def stand_in(cast: factories.Cast) -> Delivery:
    days = {"since": TODAY, "until": TODAY, "accepted_at": NOW - 9 * DAY}
    absence = factories.make_absence(cast.ana, cast.dee, **days)
    subject = f"stand-in-{absence.pk}-begins"
    return factories.make_delivery(cast.dee, local_date=TODAY, kind="stand_in", subject_key=subject)


def day_note(cast: factories.Cast) -> Delivery:
    sowing = factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY - 9 * DAY)
    factories.make_job(sowing, "cover", start_on=TODAY - 2 * DAY, cautions=["netting"])
    return planned("day_note")


def notice(cast: factories.Cast, text: str = "The water is off from noon.") -> Delivery:
    days = {"since": TODAY, "until": TODAY + DAY, "is_public": False, "is_urgent": True}
    notice_make(site=cast.site, text=text, account=None, now=NOW, **days)
    return planned("notice")


def offer(cast: factories.Cast) -> Delivery:
    entry = factories.make_waiting_entry(cast.site, cast.ana, asked_on=SINCE)
    plot = factories.make_plot(cast.site, "12", laid_out_on=SINCE)
    plot_offer(entry=entry, plot=plot, made_on=TODAY, lapses_on=TODAY + DAY, account=None, now=NOW)
    return planned("offer")


def digest(cast: factories.Cast) -> Delivery:
    invitation_make(member=cast.ana, email=cast.ana.email, account=None, now=NOW - 9 * DAY)
    factories.make_delivery(
        cast.col, local_date=TODAY, state="refused", title="Two jobs", last_error="550 no"
    )
    return factories.make_delivery(cast.dee, local_date=TODAY, kind="digest", subject_key="digest")


def invitation(cast: factories.Cast) -> Delivery:
    invitation_make(member=cast.ana, email=cast.ana.email, account=None, now=NOW)
    return planned("invitation")


def planned(kind: str) -> Delivery:
    deliveries.deliveries_plan(now=NOW)
    return Delivery.objects.filter(kind=kind, state="due").latest("pk")


KINDS = (weekly, stand_in, day_note, notice, offer, digest, invitation)
every_kind = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)


def sent(delivery: Delivery) -> bytes:
    """What goes over the line."""
    return bytes(message_of(delivery, now=NOW).sealed.body)


def read(content: bytes) -> EmailMessage:
    return message_from_bytes(content, policy=policy.default)  # type: ignore[return-value]


def no_defect(message: EmailMessage) -> None:
    assert [list(part.defects) for part in message.walk()] == [[], [], []]
    for part in message.walk():
        for name, value in part.items():
            assert not getattr(value, "defects", ()), name


@every_kind
def test_it_is_an_internet_message_without_a_defect(cast: factories.Cast, kind: Callable[..., Any]) -> None:
    content = sent(kind(cast))
    message = read(content)
    no_defect(message)
    assert max(map(len, content.split(b"\r\n"))) <= 998
    assert b"\n" not in content.replace(b"\r\n", b"")
    for name in ONCE:
        assert len(message.get_all(name, [])) == 1, name
    for name in AT_MOST_ONCE:
        assert len(message.get_all(name, [])) <= 1, name
    assert MSG_ID.fullmatch(message["Message-ID"])
    assert LIST_ID.fullmatch(message["List-Id"])
    assert len(message["List-Id"]) <= 257
    assert message["Auto-Submitted"] == "auto-generated"


@every_kind
def test_the_plain_part_comes_first_and_says_all_that_the_other_says(
    cast: factories.Cast, kind: Callable[..., Any]
) -> None:
    message = read(sent(kind(cast)))
    parts = [part.get_content_type() for part in message.walk()]
    assert parts == ["multipart/alternative", "text/plain", "text/html"]
    plain, page = (message.get_body((form,)) for form in ("plain", "html"))
    assert plain is not None
    assert page is not None
    words = " ".join(plain.get_content().split())
    seen = Page(page.get_content())
    for said in (*seen.headings[1:], *seen.cautions):
        assert said in words.replace("\N{NO-BREAK SPACE}", " "), said


@every_kind
def test_the_page_is_built_of_headings_and_lists_in_the_language_it_names(
    cast: factories.Cast, kind: Callable[..., Any]
) -> None:
    """WCAG 2.2: 1.3.1 structure, 3.1.1 language, 2.4.4 links that say where they lead."""
    message = read(sent(kind(cast)))
    body = message.get_body(("html",))
    assert body is not None
    page = Page(body.get_content())
    assert page.language == message["Content-Language"] == "en-gb"
    assert page.levels[0] == 1
    assert page.levels.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(page.levels, page.levels[1:], strict=False))
    assert page.open == []
    assert not page.lone_items
    assert all(len(words) > 4 for words in page.links)


@pytest.mark.parametrize("kind", [weekly, stand_in, day_note], ids=lambda kind: kind.__name__)
@pytest.mark.parametrize("name", ["x" * 10_000, "\u202eAna\u2066\x07", "Ana\r\nBcc: all@alderlane.example"])
def test_no_name_makes_a_header_or_a_defect(
    cast: factories.Cast, monkeypatch: pytest.MonkeyPatch, kind: Callable[..., Any], name: str
) -> None:
    """Names longer than a row takes, turned about, or with line ends, as an import might bring them."""
    delivery = kind(cast)
    named = property(lambda row: name, lambda row, kept: None)  # no row could hold it
    monkeypatch.setattr(Member, "name", named)
    monkeypatch.setattr(Society, "name", named)
    content = sent(delivery)
    message = read(content)
    body = message.get_body(("plain",))
    assert body is not None
    assert ("x" * 9_999 if name.startswith("x") else "Ana") in body.get_content()
    no_defect(message)
    assert message["Bcc"] is None
    assert max(map(len, content.split(b"\r\n"))) <= 998
    assert len(message["Subject"]) <= 200
    assert message["Subject"].isprintable()


@given(text=st.text(min_size=1, max_size=400).filter(lambda text: text.strip()))
@example(text="Noon\r\nBcc: all@alderlane.example\r\n\r\n<script>")
@example(text="\u202e\u2066 turned about \x01")
@example(text="a" * 400)
@bounds(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_notice_makes_a_header_or_a_defect(cast: factories.Cast, text: str) -> None:
    row = notice(cast)
    row.member = cast.ana
    type(cast.site).objects.get(pk=cast.site.pk).notices.update(text=text)
    content = sent(row)
    message = read(content)
    no_defect(message)
    assert message["Bcc"] is None
    assert max(map(len, content.split(b"\r\n"))) <= 998
    body = message.get_body(("html",))
    assert body is not None
    assert "<script>" not in body.get_content()
    Delivery.objects.all().delete()
    cast.site.notices.all().delete()


def test_every_ink_reads_on_its_paper_light_and_dark(cast: factories.Cast) -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1, for every colour that the style gives to text."""
    body = read(sent(weekly(cast))).get_body(("html",))
    assert body is not None
    style = body.get_content()
    dark = re.search(r"@media \(prefers-color-scheme: dark\)\s*{(.*?)}\s*</style>", style, re.DOTALL)
    assert dark is not None
    night = set(re.findall(r"[; {]color: (#[0-9a-f]{6})", dark[1]))
    day = set(re.findall(r"[; \"]color: (#[0-9a-f]{6})", style.replace(dark[0], "")))
    assert len(day) >= 3
    assert len(night) >= 3
    for inks, paper in ((day, "#fbf8f1"), (night, "#191613")):
        assert f"background: {paper}" in style
        for ink in inks:
            assert contrast(ink, paper) >= 4.5, (ink, paper)


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


class Page(HTMLParser):
    """What a reader of the HTML part meets, and whether its tags are closed."""

    def __init__(self, content: str) -> None:
        super().__init__()
        self.language = ""
        self.levels: list[int] = []
        self.headings: list[str] = []
        self.links: list[str] = []
        self.cautions: list[str] = []
        self.open: list[str] = []
        self.lone_items = 0
        self._into: list[str] | None = None
        self.feed(content)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "html":
            self.language = given.get("lang") or ""
        if tag == "li" and self.open[-1] not in {"ol", "ul"}:
            self.lone_items += 1
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
            self._begin(self.headings)
        if tag == "a":
            self._begin(self.links)
        if "care" in (given.get("class") or ""):
            self._begin(self.cautions)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag
        if tag in {"h1", "h2", "h3", "a", "p"}:
            self._into = None

    def handle_data(self, data: str) -> None:
        if self._into is not None:
            self._into[-1] = " ".join(f"{self._into[-1]} {data}".split())

    def _begin(self, into: list[str]) -> None:
        into.append("")
        self._into = into
