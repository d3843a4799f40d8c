"""A person before a real browser: Chromium, headless, over a server process with the demo carrier."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright

from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.stage import Stage
from tests.support.needs import need_program

PHONE: ViewportSize = {"width": 390, "height": 844}
NARROWEST: ViewportSize = {"width": 320, "height": 640}
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The distribution's Chromium; none is ever downloaded. It stays for one file of tests.

    Playwright turns a loop of its own under this thread, which Django takes for one that must not wait for a database.
    """
    program = need_program("chromium")
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        # The sandbox needs privileges that a container does not give; the pages are our own.
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


@dataclass(frozen=True)
class Phone:
    """A browser of somebody's own: one page in it, and what went wrong there unseen."""

    page: Page
    stage: Stage
    wrong: list[str]

    @property
    def context(self) -> BrowserContext:
        return self.page.context

    def open(self, path: str) -> None:
        self.page.goto(f"{self.stage.address}{path}")

    def sign_in(self, username: str, *, kind: str = "phone") -> None:
        """By typing, as anybody does; ends on the page that comes after."""
        self.open("/sign-in")
        self.page.get_by_label("Name", exact=True).or_(self.page.get_by_label("Nombre", exact=True)).fill(username)
        self.page.locator("input[type=password]").fill(PASSWORD)
        self.page.locator(f"input[type=radio][value={kind}]").check()
        self.page.locator("form.form button").click()
        self.page.wait_for_url(f"{self.stage.address}/")

    def says(self) -> str:
        """The text of the page's main part."""
        return self.page.locator("main").inner_text()

    def violations(self) -> list[dict[str, Any]]:
        """What axe finds against WCAG 2.2 AA in the page as it stands."""
        found = Axe().run(self.page, options={"runOnly": WCAG}).response["violations"]
        return [{"id": one["id"], "at": [node["target"] for node in one["nodes"]]} for one in found]

    def too_wide(self) -> list[str]:
        """What sticks out of the window to the side."""
        found: list[str] = self.page.evaluate(
            "[...document.querySelectorAll('main *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)"
            ".map(e => e.outerHTML.slice(0, 80))"
        )
        return found

    def small_targets(self) -> list[str]:
        """What is pressed and is lower than 48 px; a link inside a sentence is none."""
        found: list[str] = self.page.evaluate(
            "[...document.querySelectorAll('button, input:not([type=hidden]), select, a.main, a.row, a.quiet, label')]"
            ".map(e => e.closest('label') || e).filter(e => e.querySelector('input') || e.tagName != 'LABEL')"
            ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 48).map(e => e.outerHTML.slice(0, 80))"
        )
        return found


def new_phone(browser: Browser, stage: Stage, **context: Any) -> Phone:
    """Open a browser with nothing kept in it."""
    held = browser.new_context(**{"viewport": PHONE, "locale": "en-US", **context})
    page, wrong = held.new_page(), []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    return Phone(page, stage, wrong)


@pytest.fixture
def phone(chromium: Browser, stage: Stage) -> Iterator[Phone]:
    """A phone with nothing kept in it; what its console says as an error fails the test."""
    made = new_phone(chromium, stage)
    yield made
    made.context.close()
    assert made.wrong == []
