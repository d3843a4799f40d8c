"""Draws the pages into docs/pictures: `make screenshots`, on a throwaway database with the demo carrier and day 5."""

import os
import sys
import tempfile
from io import BytesIO
from pathlib import Path

import django
from django.core.management import call_command
from django.db import connections
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from config.database_url import parse
from config.env import CHECKOUT
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.days import day_05
from fixtures.scenario.stage import Stage
from tests.support.browser import Phone, new_phone
from tests.support.needs import need_program
from tests.support.server import serving

PICTURES = CHECKOUT / "docs" / "pictures"
LOOKS = (("light", "en"), ("dark", "en"), ("light", "es"), ("dark", "es"))
COLOURS = 32
"""Few colours are on a page; so few make a picture small."""
UNITS = ("NL-15", "LR-46")


def draw(browser: Browser, stage: Stage) -> None:
    """Every state by light and by dark in both languages: barred, what is due after the repair, documents, refusing."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    phones = {(scheme, language): _signed_in(browser, stage, scheme, language) for scheme, language in LOOKS}
    found = day_05.found_over_limit(stage)
    _each(phones, {"today-held": "/"})
    day_05.held(stage)
    day_05.repaired(stage, found)
    _each(phones, {"review": "/review", "documents": "/documents", "refuse": "/refusal", "unit": "/units/LR-46"})


def _signed_in(browser: Browser, stage: Stage, scheme: str, language: str) -> Phone:
    phone = new_phone(browser, stage, color_scheme=scheme, locale={"en": "en-US", "es": "es-MX"}[language])
    phone.open("/sign-in")
    _keep(phone, f"sign-in-{scheme}-{language}")
    phone.sign_in({"en": "sol", "es": "wen"}[language])
    phone.open("/combination")
    _keep(phone, f"combination-{scheme}-{language}")
    for kind, unit in zip(("tractor", "trailer"), UNITS, strict=True):
        phone.page.locator(f"#{kind}").fill(unit)
    phone.page.locator("form:has(#tractor) button").click()
    phone.page.locator("nav.ways").wait_for()
    return phone


def _each(phones: dict[tuple[str, str], Phone], states: dict[str, str]) -> None:
    for (scheme, language), phone in phones.items():
        for name, path in states.items():
            phone.open(path)
            _keep(phone, f"{name}-{scheme}-{language}")


def _keep(phone: Phone, name: str) -> None:
    drawn = Image.open(BytesIO(phone.page.screenshot())).convert("RGB")
    drawn.quantize(COLOURS).save(PICTURES / f"{name}.png", optimize=True)


def main() -> int:
    """Draw them all."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings.test"
    django.setup()
    call_command("migrate", verbosity=0)
    call_command("load_demo")
    connections.close_all()
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(parse(os.environ["DATABASE_URL"]), Path(folder)) as server,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=need_program("chromium"), args=["--no-sandbox"])
        draw(browser, Stage(server.url, PASSWORD, lambda _: None))
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
