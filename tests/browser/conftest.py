"""A real browser against a real server.

The browser's driver keeps an event loop of its own, beside which Django refuses to touch the database.
So it lives in a thread of its own: a test makes its rows here and sends a walk over there.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, TypeVar

import pytest
from playwright.sync_api import Browser, Error, Page, Playwright, Request, sync_playwright

from tests.services import not_to_be_had

T = TypeVar("T")
CHROMIUM = (
    os.environ.get("COMMONROW_TEST_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
)
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
]

# What Chromium says of a page that answers a form with its faults. The page is the answer.
REFUSED = "Failed to load resource: the server responded with a status of 422 (Unprocessable Entity)"


@dataclass
class BrowserThread:
    """The one thread in which the browser and its driver live."""

    thread: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(max_workers=1))
    driver: Playwright | None = None
    browser: Browser | None = None

    def start(self) -> None:
        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(executable_path=CHROMIUM, args=QUIET)

    def stop(self) -> None:
        if self.browser:
            self.browser.close()
        if self.driver:
            self.driver.stop()

    def run(self, work: Callable[..., T], *arguments: Any) -> T:
        return self.thread.submit(work, *arguments).result(timeout=120)


@pytest.fixture(scope="session")
def browser_thread() -> Iterator[BrowserThread]:
    if not CHROMIUM:
        not_to_be_had(
            "no Chromium browser is installed; install one ('apt install chromium') or name it in "
            "COMMONROW_TEST_CHROMIUM"
        )
    line = BrowserThread()
    try:
        line.run(line.start)
    except Error as fault:
        line.thread.shutdown()
        not_to_be_had(f"{CHROMIUM} did not start: {str(fault).splitlines()[0]}")
    yield line
    line.run(line.stop)
    line.thread.shutdown()


def is_fault(request: Request) -> bool:
    """Whether a request failed by itself; one that the next page cut short did not."""
    return request.failure != "net::ERR_ABORTED"


def failed(request: Request) -> str:
    return f"failed: {request.url} ({request.failure})"


@contextmanager
def quiet_page(browser: Browser, base_url: str, **options: Any) -> Iterator[Page]:
    """A page in a fresh profile; whatever its console says, a broken policy included, fails the walk."""
    context = browser.new_context(base_url=base_url, locale="en-GB", **options)
    context.set_default_timeout(10_000)
    page = context.new_page()
    said: list[str] = []
    page.on(
        "console",
        lambda message: said.append(f"{message.type}: {message.text}") if message.text != REFUSED else None,
    )
    page.on("pageerror", lambda fault: said.append(f"fault: {fault}"))
    page.on("requestfailed", lambda request: said.append(failed(request)) if is_fault(request) else None)
    page.on(
        "request", lambda request: said.append(request.url) if not request.url.startswith(base_url) else None
    )
    try:
        yield page
        assert said == []
    finally:
        context.close()


@pytest.fixture
def walk(browser_thread: BrowserThread, live_server: Any) -> Callable[..., Any]:
    """Send a function with a fresh page on its way; options are those of a browser profile."""

    def send(steps: Callable[[Page], T], **options: Any) -> T:
        def there() -> T:
            assert browser_thread.browser is not None
            with quiet_page(browser_thread.browser, live_server.url, **options) as page:
                return steps(page)

        return browser_thread.run(there)

    return send
