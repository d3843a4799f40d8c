"""What a driver does on a phone besides the walk, by pressing and typing alone."""

import pytest
from playwright.sync_api import Browser

from fixtures.scenario.stage import Stage
from tests.support.browser import NARROWEST, Phone, new_phone

PATHS = (
    *("/", "/combination", "/review", "/documents", "/refusal"),
    *("/units/LR-46", "/units/LR-46/label", "/password", "/units/ZZ-404"),
)


def pick(phone: Phone, *units: str) -> None:
    """Search for the first, and take what it is coupled to."""
    phone.open("/combination")
    phone.page.locator("#number").fill(units[0])
    phone.page.get_by_role("button", name="Look").click()
    phone.page.get_by_role("button", name=" ".join(units)).click()
    phone.page.get_by_role("link", name="Another combination").wait_for()


@pytest.mark.parametrize(("scheme", "language"), [("light", "en-US"), ("dark", "es-MX")])
def test_every_page__can_be_read_by_everybody_and_fits_the_narrowest_phone(
    chromium: Browser, stage: Stage, scheme: str, language: str
) -> None:
    """In both languages and by light and by dark; a small phone of an old kind."""
    small = new_phone(chromium, stage, viewport=NARROWEST, color_scheme=scheme, locale=language)
    small.sign_in("wen" if language == "es-MX" else "iris")
    small.open("/combination")
    small.page.locator("form .units").first.click()
    small.page.locator("nav.ways").wait_for()
    found = {}
    for path in PATHS:
        small.open(path)
        found[path] = (small.violations(), small.too_wide(), small.small_targets())
    small.context.close()
    assert found == dict.fromkeys(found, ([], [], []))
    assert [line for line in small.wrong if "404" not in line] == []


def test_combination__is_picked_by_keyboard_alone(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.page.get_by_role("link", name="Pick my combination").focus()
    phone.page.keyboard.press("Enter")
    phone.page.locator("#number").focus()
    phone.page.keyboard.type("LR-46")
    phone.page.keyboard.press("Enter")
    phone.page.wait_for_url("**/combination?number=LR-46")
    for _ in range(20):
        phone.page.keyboard.press("Tab")
        if "LR-46" in phone.page.evaluate("document.activeElement.innerText"):
            break
    phone.page.keyboard.press("Enter")
    phone.page.get_by_role("link", name="Another combination").wait_for()
    assert "NL-16" in phone.says()


def test_unit_refused__leaves_a_copy_on_the_phone(phone: Phone) -> None:
    phone.sign_in("iris")
    pick(phone, "NL-16", "LR-46")
    phone.page.get_by_role("link", name="Refuse a unit").click()
    phone.page.get_by_label("What is wrong").fill("five and a half inches of free play")
    phone.page.get_by_label("Your name, as your signature").fill("Iris Quade")
    phone.page.get_by_role("button", name="Refuse it").dblclick()
    phone.page.get_by_role("heading", name="You refused NL-16").wait_for()
    with phone.page.expect_download() as kept:
        phone.page.get_by_role("link", name="Keep it on this device").click()
    assert "five and a half inches of free play" in kept.value.path().read_text(encoding="utf-8")
    phone.open("/")
    assert "Against it" in phone.says()


def test_first_page_and_later_ones__stay_within_their_bytes(phone: Phone) -> None:
    """Over the wire as the demo sends it, which compresses nothing."""
    seen: list[int] = []
    phone.page.on("response", lambda answer: seen.append(len(answer.body()) if answer.status == 200 else 0))
    phone.open("/sign-in")
    phone.page.wait_for_load_state("networkidle")
    assert 0 < sum(seen) < 150_000
    phone.sign_in("iris")
    pick(phone, "NL-16", "LR-46")
    seen.clear()
    phone.page.get_by_role("link", name="Documents for an officer").click()
    phone.page.wait_for_load_state("networkidle")
    assert 0 < sum(seen) < 30_000
