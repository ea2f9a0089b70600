"""The committee takes old records in: chosen, looked at, kept."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page

from plots.models import OtherUse, Sighting, Sowing
from tests import factories
from tests.browser.test_pages import CONTRASTS, DESK, PHONE, follow, log_in
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SINCE, TODAY = date(2015, 1, 1), date(2027, 4, 12)
HEAD = "year,plot,bed,from,to,crop,problem\n"
GOOD = (
    HEAD + "2018,7,,,,some brassica,\n2019,7,bed 1,9.4.2019,2.11.2019,Leeks,\n2020,7,bed 1,,,Kale,clubroot?\n"
)


@pytest.fixture
def cast(settings: Any) -> Cast:
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    return factories.make_cast(since=SINCE, normals=False)


def chosen(page: Page, path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")
    page.get_by_label("File of old records").set_input_files(path)
    follow(page, page.get_by_role("button", name="Look at it"))


def is_wide(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))


@pytest.mark.parametrize(("viewport", "script"), [(PHONE, True), (PHONE, False), (DESK, True)])
def test_old_records_are_looked_at_and_kept(
    cast: Cast, walk: Any, tmp_path: Path, viewport: Any, script: bool
) -> None:
    def steps(page: Page) -> list[str]:
        log_in(page, "dee")
        follow(page, page.get_by_role("link", name="Committee"))
        follow(page, page.get_by_role("link", name="Old records"))
        chosen(page, tmp_path / "old.csv", GOOD.replace("Leeks", "Leex"))
        assert page.get_by_text("Did you mean “Leek”?").is_visible()
        assert not is_wide(page)
        chosen(page, tmp_path / "old.csv", GOOD)
        assert page.get_by_text("somewhere on the plot").first.is_visible()
        assert not is_wide(page)
        faint = page.evaluate(CONTRASTS)
        follow(page, page.get_by_role("button", name="Keep all of it"))
        assert "Kept: 2 sowings" in page.get_by_role("status").inner_text()
        return list(faint)

    assert walk(steps, viewport=viewport, java_script_enabled=script) == []
    assert (Sowing.objects.count(), OtherUse.objects.count(), Sighting.objects.count()) == (2, 1, 1)
