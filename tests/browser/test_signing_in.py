"""Signing in on a phone and at a desk, by typing and pressing alone."""

from tests.support.browser import NARROWEST, Phone

KEPT = """
new Promise((resolve, reject) => {
  const request = indexedDB.open("walks");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const database = request.result;
    if (!database.objectStoreNames.contains("people")) { database.close(); resolve([]); return; }
    const all = database.transaction("people").objectStore("people").getAll();
    all.onsuccess = () => { database.close(); resolve(all.result); };
  };
})
"""


def test_phone__keeps_its_token_once_and_no_page_behind_it_shows_it(phone: Phone) -> None:
    phone.sign_in("iris")
    [kept] = phone.page.evaluate(KEPT)
    assert (kept["name"], kept["token"][:4]) == ("Iris Quade", "rct_")
    phone.page.go_back()
    assert kept["token"] not in phone.page.content()


def test_desk__is_told_no_token(phone: Phone) -> None:
    phone.sign_in("cal", kind="desk")
    assert phone.page.evaluate(KEPT) == []
    assert "Cal Wick" in phone.page.locator("header").inner_text()


def test_signing_out__takes_the_token_off_the_phone_and_ends_the_session(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.page.get_by_role("button", name="Sign out").click()
    phone.page.get_by_role("heading", name="Signed out").wait_for()
    phone.page.wait_for_function(f"async () => !(await {KEPT}).length")
    phone.open("/")
    assert phone.page.url.endswith("/sign-in")


def test_wrong_password__is_said_and_the_name_is_kept(phone: Phone) -> None:
    phone.open("/sign-in")
    phone.page.get_by_label("Name", exact=True).fill("iris")
    phone.page.get_by_label("Password", exact=True).fill("not this one")
    phone.page.locator("form.form button").click()
    assert phone.page.get_by_role("alert").is_visible()
    assert phone.page.get_by_label("Name", exact=True).input_value() == "iris"
    phone.wrong.clear()  # the console tells of the status 401


def test_button_of_the_cast__signs_in_with_one_press(phone: Phone) -> None:
    phone.open("/sign-in")
    phone.page.get_by_role("button", name="Wen Castel").click()
    phone.page.wait_for_url(f"{phone.stage.address}/")
    assert phone.page.locator("html").get_attribute("lang") == "es"


def test_sign_in_and_today__can_be_read_by_everybody_and_fit_the_narrowest_phone(phone: Phone) -> None:
    phone.page.set_viewport_size(NARROWEST)
    phone.open("/sign-in")
    found = [(phone.violations(), phone.too_wide(), phone.small_targets())]
    phone.sign_in("iris")
    found.append((phone.violations(), phone.too_wide(), phone.small_targets()))
    assert found == [([], [], [])] * 2
