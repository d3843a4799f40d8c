"""Day 5 of the scenario where it meets the pages: what stands against LR-46, and the next driver's signature."""

from fixtures.scenario.days import day_05
from tests.support.browser import Phone


def test_hold__is_seen_at_once_and_after_its_repair_the_next_driver_reads_and_signs(phone: Phone) -> None:
    found = day_05.found_over_limit(phone.stage)
    phone.sign_in("iris")
    assert "LR-46: hold" in phone.says()
    assert "Pushrod stroke, axle 2 right: 2.31 in" in phone.says()
    assert "Notified" in phone.says()

    day_05.held(phone.stage)
    day_05.repaired(phone.stage, found)
    phone.page.get_by_role("link", name="Another person signs in").click()
    phone.sign_in("sol")
    phone.open("/combination")
    phone.page.get_by_label("Tractor", exact=True).fill("NL-15")
    phone.page.get_by_label("Trailer", exact=True).fill("LR-46")
    phone.page.get_by_role("button", name="Take these").click()
    phone.page.get_by_role("link", name="Read and sign the last reports").click()
    assert "2.31" in phone.says()
    assert "Greta Lind" in phone.says()
    assert phone.violations() == []
    phone.page.get_by_label("Your name, as your signature").fill("Sol Marrin")
    phone.page.get_by_role("button", name="Sign for all units").dblclick()
    phone.page.get_by_role("link", name="Another combination").wait_for()
    assert "hold" not in phone.says()
    assert "read the last defect report" not in phone.says()


def test_two_drivers_on_one_phone__each_keep_a_token_of_their_own(phone: Phone) -> None:
    phone.sign_in("iris")
    phone.page.get_by_role("link", name="Another person signs in").click()
    phone.sign_in("sol")
    kept = phone.page.evaluate(
        f"import('{phone.stage.address}/static/pages/database.js')"
        ".then(kept => kept.within('people', 'readonly', store => store.getAll()))"
        ".then(people => people.map(person => person.name).sort())"
    )
    assert kept == ["Iris Quade", "Sol Marrin"]
