"""A walk by pressing and typing alone: leg by leg, a fault with its photo, the signature, and what comes of it."""

import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect

from config.env import CHECKOUT
from defects.rules.catalogue.closed_sets import FailsWhen, UnitOfMeasure
from fixtures.scenario.stage import Stage
from tests.support.browser import NARROWEST, PHONE, Phone
from tests.support.needs import need_program

WALK = "/walk?tractor=NL-15&trailer=LR-46"
MOST_PRESSES = {"daily": 52, "pick_up": 30}
"""All of it: the list's own presses, to begin, to sign, and to go on from a leg that no signature covers."""

SENT = re.compile(r"^Sent \d")


class Walking:
    """Somebody with a walk on the screen; counts what is pressed and typed."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.presses = 0

    def begin(self) -> None:
        self.press(self.page.get_by_role("button", name="Begin", exact=True))
        expect(self.page.locator(".leg")).to_be_visible()

    def press(self, what: Locator) -> None:
        what.click()
        self.presses += 1

    @property
    def where(self) -> str:
        return self.page.locator("[data-text=where]").inner_text()

    def onward(self) -> None:
        before = self.where
        self.press(self.page.locator("[data-do=onward]"))
        self.page.wait_for_function("w => document.querySelector('[data-text=where]')?.innerText !== w", arg=before)

    def answer_leg(self) -> None:
        """Everything here is as it should be: figures in the middle of what is allowed, the rest fine."""
        for point in self.page.locator(".alone").all():
            figures = point.locator("input")
            for figure in figures.all():
                figure.fill(middle(figure.locator("xpath=ancestor::div[1]").locator(".limit").inner_text()))
                figure.blur()
                self.presses += 1
            fine = point.locator("[data-do=fine]")
            if not figures.count() and fine.is_visible():
                self.press(fine)

    def walk_on(self, *, legs: int = 99) -> None:
        for _ in range(legs):
            if not self.page.locator(".leg").count():
                return
            self.answer_leg()
            self.onward()

    def to_leg(self, title: str) -> None:
        while self.page.locator("h1").inner_text() != title:
            self.answer_leg()
            self.onward()

    def sign(self) -> None:
        expect(self.page.locator("form.sign")).to_be_visible()
        canvas = self.page.locator("canvas")
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()
        assert box is not None
        mouse = self.page.mouse
        mouse.move(box["x"] + 20, box["y"] + 40)
        mouse.down()
        mouse.move(box["x"] + 220, box["y"] + 80, steps=8)
        mouse.up()
        self.press(self.page.get_by_role("button", name="I sign"))

    def state(self) -> Locator:
        return self.page.locator(".state")


def middle(limits: str) -> str:
    """A figure that the limits on the screen leave: "More than 60 psi. At least 99 psi" 100, "3 to 45 psi" 24."""
    low, high = None, None
    for sentence in limits.split(". "):
        figures = [float(word) for word in sentence.split() if word.lstrip("-").replace(".", "", 1).isdigit()]
        if sentence.startswith(("At least", "More than")):
            least = figures[0] + sentence.startswith("More")
            low = least if low is None else max(least, low)
        elif sentence.startswith(("At most", "Less than")):
            high = min(figures[0], figures[0] if high is None else high)
        elif " to " in sentence:
            low, high = figures[0], figures[1]
    if low is not None and high is not None:
        return str(round((low + high) / 2))
    return f"{low:g}" if low is not None else str(round(high / 2)) if high is not None else "1"


def receipt_of(stage: Stage, username: str) -> dict[str, Any]:
    """The receipt of the last walk-around that the person handed in."""
    person = stage.person(username)
    reports = person.call("GET", "/api/v1/reports?person=me&limit=1").body["results"]
    receipt: dict[str, Any] = person.call("GET", f"/api/v1/walkarounds/{reports[0]['walkaround']}").body
    return receipt


def handed_in(stage: Stage, username: str) -> int:
    reports = stage.person(username).call("GET", "/api/v1/reports?person=me").body["results"]
    return len({report["walkaround"] for report in reports})


@pytest.mark.parametrize("form", ["daily", "pick_up"])
def test_walk_without_a_fault__takes_no_more_presses_than_it_may_and_clears_the_units(phone: Phone, form: str) -> None:
    phone.sign_in("iris")
    phone.open(f"{WALK}&form={form}")
    walking = Walking(phone.page)
    walking.begin()
    walking.walk_on()
    expect(phone.page.locator("form.sign")).to_be_visible()
    assert "You report no fault." in phone.says()
    assert "Everything on the list is answered." in phone.says()
    walking.sign()
    expect(walking.state()).to_contain_text("Sent")
    receipt = receipt_of(phone.stage, "iris")
    assert [unit["found"] for unit in receipt["units"]] == [[], [], []]
    assert walking.presses <= MOST_PRESSES[form]


def test_day_5__stroke_over_its_limit_is_told_while_typed_and_bars_the_trailer(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(f"{WALK}&form=full")
    walking = Walking(phone.page)
    walking.begin()
    walking.to_leg("Trailer, right side")
    stroke = phone.page.locator(".alone", has=phone.page.get_by_role("heading", name="Pushrod stroke"))
    right = stroke.get_by_role("textbox", name="axle 2 right", exact=True)
    right.fill("2.31")
    expect(stroke.get_by_text("Beyond the limit.")).to_be_visible()
    right.blur()
    phone.page.get_by_role("button", name="To the signature").click()
    expect(phone.page.locator("main")).to_contain_text("LR-46: Pushrod stroke. axle 2 right: Fault: 2.31 inches")
    walking.sign()
    expect(walking.state()).to_contain_text("Sent")
    trailer = next(unit for unit in receipt_of(phone.stage, "iris")["units"] if unit["unit"] == "LR-46")
    assert [(each["severity"], each["limit"]) for each in trailer["found"]] == [("do_not_move", "2")]


def test_fault_by_its_sentence__with_a_photo_and_a_note_is_on_the_defect(phone: Phone, tmp_path: Path) -> None:
    picture = tmp_path / "hub.png"
    Image.effect_noise((6000, 2500), 90).save(picture)
    assert picture.stat().st_size > 10_000_000
    phone.sign_in("iris")
    phone.open(WALK)
    walking = Walking(phone.page)
    walking.begin()
    walking.to_leg("Engine bay")
    phone.page.get_by_role("button", name="Steering box, links and joints").click()
    keep = phone.page.get_by_role("button", name="Put it on the report")
    keep.click()
    expect(phone.page.get_by_text("Say what is wrong")).to_be_visible()
    phone.page.get_by_label("missing").first.check()
    phone.page.get_by_label("In your own words").focus()
    phone.page.keyboard.insert_text("x" * 10_000)
    phone.page.get_by_label("Photo").set_input_files(picture)
    expect(phone.page.get_by_text("Photos kept: 1")).to_be_visible()
    keep.click()
    phone.page.get_by_role("button", name="To the signature").click()
    walking.sign()
    expect(walking.state()).to_contain_text("Sent")
    expect(phone.page.get_by_text("Only what is sent is safe")).to_be_hidden()
    tractor = next(unit for unit in receipt_of(phone.stage, "iris")["units"] if unit["unit"] == "NL-15")
    defect = phone.stage.person("hob").call("GET", f"/api/v1/defects/{tractor['found'][0]['defect']}").body
    assert len(defect["photos"]) == 1
    assert "x" * 1000 in str(defect)
    assert "x" * 1001 not in str(defect)


def _switched_on(chromium: Browser, kept: Path, *, offline: bool = False) -> BrowserContext:
    """A phone with all that was kept on it before."""
    return chromium.browser_type.launch_persistent_context(
        kept,
        executable_path=need_program("chromium"),
        args=["--no-sandbox"],
        viewport=PHONE,
        locale="en-US",
        offline=offline,
    )


def test_day_6__no_signal_and_a_killed_browser__lose_nothing_and_it_is_sent_once(
    chromium: Browser, stage: Stage, tmp_path: Path
) -> None:
    kept = _switched_on(chromium, tmp_path)
    first = Phone(kept.pages[0], stage, [])
    first.sign_in("iris")
    first.open(WALK)
    first.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    walking = Walking(first.page)
    walking.begin()
    kept.set_offline(True)
    walking.to_leg("Tractor, left side")
    at = walking.where
    kept.close()

    again = _switched_on(chromium, tmp_path, offline=True)
    page = again.new_page()
    page.goto(f"{stage.address}{WALK}")
    expect(page.get_by_text("was begun at")).to_be_visible()
    page.get_by_role("button", name="Go on with it").click()
    walking = Walking(page)
    assert walking.where == at
    walking.walk_on()
    walking.sign()
    expect(walking.state()).to_contain_text("On this phone only")
    expect(page.get_by_text("Only what is sent is safe")).to_be_visible()
    assert handed_in(stage, "iris") == 0
    page.reload()
    expect(page.get_by_text("On this phone only")).to_be_visible()
    other = again.new_page()
    other.goto(f"{stage.address}{WALK}")
    again.set_offline(False)
    expect(page.get_by_text(SENT)).to_be_visible(timeout=45_000)
    assert handed_in(stage, "iris") == 1
    again.close()


def test_session_that_ended_in_the_middle__keeps_the_walk_until_the_person_signs_in_again(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    walking = Walking(phone.page)
    walking.begin()
    walking.walk_on(legs=3)
    iris = phone.stage.person("iris")
    phones = [each for each in iris.call("GET", "/api/v1/me").body["devices"] if each["device"] == "Phone"]
    for each in phones:
        iris.call("DELETE", f"/api/v1/tokens/{each['id']}", expect=204)
    phone.page.get_by_role("button", name="To the signature").click()
    walking.sign()
    expect(walking.state()).to_contain_text("Sign in again, and it is sent.")
    phone.wrong.clear()  # the console tells of the status 401
    phone.sign_in("iris")
    phone.open("/walk")
    expect(phone.page.get_by_text(SENT)).to_be_visible()
    assert handed_in(phone.stage, "iris") == 1


def test_signing_out__with_a_walk_that_is_not_sent_asks_first(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    Walking(phone.page).begin()
    phone.open("/")
    out = phone.page.get_by_role("button", name="Sign out")
    out.click()
    expect(phone.page.get_by_text("are not sent yet")).to_be_visible()
    out.click()
    expect(phone.page.get_by_role("heading", name="Signed out")).to_be_visible()


def test_two_drivers_on_one_phone__each_walk_is_handed_in_by_its_own(phone: Phone) -> None:
    for driver in ("iris", "sol"):
        phone.sign_in(driver)
        phone.open(WALK)
        walking = Walking(phone.page)
        walking.begin()
        walking.onward()
        if driver == "iris":
            phone.context.set_offline(True)
        phone.page.get_by_role("button", name="To the signature").click()
        walking.sign()
        expect(walking.state()).to_contain_text("On this phone only" if driver == "iris" else "Sent")
        phone.context.set_offline(False)
    expect(phone.page.get_by_text(SENT)).to_be_visible()
    phone.wrong.clear()  # the console tells that there was no signal
    phone.open("/walk")
    expect(phone.page.get_by_text("On this phone only")).to_have_count(0, timeout=20_000)
    assert [handed_in(phone.stage, driver) for driver in ("iris", "sol")] == [1, 1]


def test_walk_in_two_windows__goes_on_in_the_last_alone_and_what_is_signed_stays_signed(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    first = Walking(phone.page)
    first.begin()
    phone.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    late = phone.context.new_page()
    late.goto(f"{phone.stage.address}{WALK}")
    second = phone.context.new_page()
    second.goto(f"{phone.stage.address}{WALK}")
    first.onward()
    where = first.where
    second.get_by_role("button", name="Go on with it").click()
    walking = Walking(second)
    assert walking.where == where
    phone.page.locator("[data-do=onward]").click()
    expect(phone.page.locator("#notes")).to_contain_text("goes on in another window")
    assert first.where == where
    phone.context.set_offline(True)
    second.get_by_role("button", name="To the signature").click()
    walking.sign()
    expect(walking.state()).to_contain_text("On this phone only")
    phone.page.locator("[data-do=onward]").click()
    late.get_by_role("button", name="Throw it away").click()
    expect(late.get_by_role("button", name="Throw it away")).to_be_hidden()
    phone.context.set_offline(False)
    expect(walking.state()).to_contain_text(SENT, timeout=45_000)
    assert handed_in(phone.stage, "iris") == 1
    phone.wrong.clear()  # the console tells that there was no signal


def test_two_walks_begun__are_both_there_to_go_on_with(phone: Phone) -> None:
    phone.sign_in("iris")
    for path in (WALK, "/walk?tractor=NL-14&trailer=LR-44"):
        phone.open(path)
        Walking(phone.page).begin()
    phone.open("/walk")
    expect(phone.page.get_by_text("was begun at")).to_have_count(2)
    phone.page.get_by_role("button", name="Go on with it").last.click()
    expect(phone.page.locator("[data-text=where]")).to_contain_text("CU-46")


def test_list_that_the_service_refuses__is_not_taken_for_no_signal(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    Walking(phone.page).begin()
    phone.open(WALK)
    button = phone.page.get_by_role("button", name="Begin", exact=True)
    expect(button).to_be_visible()
    iris = phone.stage.person("iris")
    for each in iris.call("GET", "/api/v1/me").body["devices"]:
        if each["device"] == "Phone":
            iris.call("DELETE", f"/api/v1/tokens/{each['id']}", expect=204)
    button.click()
    phone.page.wait_for_url("**/sign-in?next=*")
    phone.wrong.clear()  # the console tells of the status 401


def test_fault_in_own_words__stays_a_fault_when_a_good_figure_is_typed_beside_it(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(f"{WALK}&form=full")
    walking = Walking(phone.page)
    walking.begin()
    walking.to_leg("Trailer, right side")
    right = phone.page.get_by_role("textbox", name="axle 2 right", exact=True)
    stroke = phone.page.locator(".alone", has=phone.page.get_by_role("heading", name="Pushrod stroke")).filter(
        has=right
    )
    stroke.get_by_role("button", name="Fault").click()
    phone.page.get_by_label("In your own words").fill("It squeals.")
    phone.page.get_by_role("button", name="Put it on the report").click()
    stroke.locator(right).fill("1.5")
    stroke.locator(right).blur()
    phone.page.get_by_role("button", name="To the signature").click()
    expect(phone.page.locator(".faults")).to_contain_text("Fault: It squeals., 1.5 inches")


@pytest.mark.parametrize("driver", ["iris", "wen"])
def test_every_state_of_a_walk__can_be_read_by_everybody_and_fits_the_narrowest_phone(
    phone: Phone, driver: str
) -> None:
    found: list[Any] = []

    def look() -> None:
        found.append((phone.violations(), phone.too_wide(), phone.small_targets()))

    phone.page.set_viewport_size(NARROWEST)
    phone.sign_in(driver)
    phone.open(f"{WALK}&form=full")
    phone.page.wait_for_selector("#screen form")
    look()
    phone.page.locator("form.form > button.main").click()
    phone.page.wait_for_selector(".leg")
    Walking(phone.page).walk_on(legs=3)
    look()
    phone.page.locator(".ask [data-do=fault]").first.click()
    phone.page.wait_for_selector("dialog[open]")
    look()
    phone.page.locator("dialog [value=cancel]").click()
    phone.page.locator("[data-do=to-sign]").click()
    phone.page.wait_for_selector("form.sign")
    look()
    Walking(phone.page).page.locator("#typed").fill("Somebody")
    phone.page.locator("form.sign button.main").click()
    phone.page.wait_for_selector(".state")
    look()
    assert found == [([], [], [])] * 5


def test_words_of_the_page__name_every_unit_of_measure_and_every_kind_of_limit() -> None:
    words = (CHECKOUT / "pages" / "templates" / "pages" / "walk_words.html").read_text()
    assert [word for word in (*UnitOfMeasure, *FailsWhen) if f'data-word="{word}"' not in words] == []


def test_two_places_of_one_point__each_keeps_a_fault_of_its_own(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    walking = Walking(phone.page)
    walking.begin()
    walking.to_leg("Tractor front")
    headlamps = phone.page.get_by_role("button", name="Headlamps")
    note, keep = (
        phone.page.get_by_label("In your own words"),
        phone.page.get_by_role("button", name="Put it on the report"),
    )
    for place in ("left low beam", "right low beam"):
        headlamps.click()
        phone.page.get_by_label(place, exact=True).check()
        expect(note).to_have_value("")
        note.fill(f"the {place} flickers")
        keep.click()
    headlamps.click()
    phone.page.get_by_label("right low beam", exact=True).check()
    expect(note).to_have_value("the right low beam flickers")
    phone.page.get_by_role("button", name="Take it off the report").click()
    said = phone.page.locator(".ask", has=headlamps).locator(".found")
    expect(said).to_contain_text("the left low beam flickers")
    expect(said).not_to_contain_text("right")


def test_second_of_two_photos_not_taken_at_once__is_sent_later_and_none_is_called_lost(
    phone: Phone, tmp_path: Path
) -> None:
    phone.sign_in("iris")
    phone.open(WALK)
    walking = Walking(phone.page)
    walking.begin()
    walking.to_leg("Engine bay")
    phone.page.get_by_role("button", name="Steering box, links and joints").click()
    phone.page.get_by_label("missing").first.check()
    for number in (1, 2):
        picture = tmp_path / f"{number}.png"
        Image.effect_noise((40 * number, 40), 90).save(picture)
        phone.page.get_by_label("Photo").set_input_files(picture)
        expect(phone.page.get_by_text(f"Photos kept: {number}")).to_be_visible()
    phone.page.get_by_role("button", name="Put it on the report").click()
    sent: list[str] = []

    def answer(route: Route) -> None:
        sent.append(route.request.url)
        if len(sent) == 2:
            route.fulfill(status=503)
        else:
            route.continue_()

    phone.page.route("**/photos/*", answer)
    phone.page.get_by_role("button", name="To the signature").click()
    walking.sign()
    expect(walking.state()).to_contain_text("Photos still on this phone only: 1")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    expect(walking.state()).to_have_text(re.compile(r"^Sent [^.]*\.$"))
    assert (len(sent), sent[1] == sent[2]) == (3, True)
    phone.wrong.clear()  # the console tells of the status 503


def test_phone_of_two_people__a_walk_is_by_whoever_the_page_names(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.sign_in("sol", kind="desk")
    phone.open(WALK)
    phone.page.wait_for_url("**/sign-in?next=*")
