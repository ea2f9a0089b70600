"""Pictures of letters: 360 and 700 px wide, on a light and on a dark screen; and paper as PDF."""

import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

WIDTHS = (360, 700)
SCHEMES = ("light", "dark")
STYLE = Path(__file__).parents[2] / "society/static/society/commonrow.css"


def pictures_take(folder: Path) -> None:
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for scheme in SCHEMES:
            for width in WIDTHS:
                page = browser.new_page(
                    color_scheme=scheme,  # type: ignore[arg-type]
                    viewport={"width": width, "height": 700},
                )
                for letter in sorted(folder.glob("*.html")):
                    page.goto(letter.as_uri())
                    page.screenshot(path=folder / f"{letter.stem}-{width}-{scheme}.png", full_page=True)
        browser.close()


def print_take(page_html: str, target: Path) -> None:
    """What the committee's page of letters for paper comes to on A4."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content(page_html)
        page.add_style_tag(content=STYLE.read_text())
        page.pdf(path=target, format="A4", prefer_css_page_size=True)
        browser.close()
