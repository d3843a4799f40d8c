"""What is listed needs its certificate before the unit is driven again; what is noted bars nothing."""

import datetime as dt
from typing import Any

import pytest

from defects.api.walkarounds.receipts import receipt_answer
from defects.enums import Authority, Bars, Severity
from defects.models import Defect, Report
from defects.rules.catalogue.catalogue import load_catalogue
from defects.selectors.clearance.reason_messages import Reader, reason_words
from defects.selectors.records.unit_file.reports import read
from defects.selectors.reviews import due_reviews
from fleet.selectors.records.unit_file.sections import FileScope
from tests.support.acting import acting_as
from tests.support.dock import Dock, codes, reason
from tests.support.submissions import answer_to, fault_told
from tests.support.yard import photo_on

CAP = "tires.trailer.body"
PLACE = "axle-1-left-outer"


def cap(dock: Dock, *, listed: bool = False, finding: str = "valve_cap_missing") -> tuple[Defect, dict[str, Any]]:
    given = answer_to(CAP, "defect", place=PLACE, finding=finding, listed=listed)
    receipt = dock.hand_in((dock.trailer, [given]), kind="en_route")
    body: Any = receipt_answer(receipt, "en").model_dump(mode="json")
    return Defect.objects.get(unit=dock.trailer), body


def headings(receipt: dict[str, Any]) -> dict[str, tuple[str, list[int]]]:
    """The headings that stand over something on the first unit of a receipt."""
    unit = receipt["units"][0]
    headed = {name: unit[name] for name in ("to_certify", "to_put_right", "noted")}
    return {name: (part["says"], part["defects"]) for name, part in headed.items() if part["defects"] or part["says"]}


def test_dirty_box__the_drivers_to_put_right_and_under_no_other_heading(dock: Dock) -> None:
    receipt: Any = receipt_answer(
        dock.hand_in((dock.trailer, [answer_to("inside.cleanliness", "defect")])), "en"
    ).model_dump(mode="json")
    [found] = receipt["units"][0]["found"]
    says = "Correct these on LR-46 yourself, then answer them again."
    assert found["put_right"]
    assert headings(receipt) == {"to_put_right": (says, [found["defect"]])}


def test_missing_valve_cap__noted_for_the_shop_and_bars_nothing(dock: Dock) -> None:
    defect, receipt = cap(dock)
    assert (defect.listing, defect.order_number is None) == ("noted", False)
    [found] = receipt["units"][0]["found"]
    assert (found["bars"], found["listing"]) == ("nothing", "noted")
    assert headings(receipt) == {"noted": ("Noted for the shop.", [defect.number])}
    assert "Do not drive" not in receipt["says"]
    asked = dock.ask()
    assert (asked.answer, codes(asked)) == ("nothing_known_against", [])
    owed = due_reviews([dock.trailer.pk])[dock.trailer.pk]
    assert (owed.reports, owed.missing, owed.defects, owed.noted) == ([], [], [], [defect])
    *_, record = read(FileScope(dock.trailer, None, None, "UTC", dock.now))
    assert (record["found"], [row["defect"] for row in record["noted"]]) == ([], [defect.number])
    assert not Report.objects.filter(review_due=True).exists()


def test_noted_defect_that_the_shop_repairs__closes_without_a_review(dock: Dock) -> None:
    defect, _ = cap(dock)
    dock.certify(defect, photo=photo_on(defect))
    defect.refresh_from_db()
    assert defect.state == "closed"


def test_driver_lists_it__needs_its_certificate_and_every_field_says_so(dock: Dock) -> None:
    defect, receipt = cap(dock, listed=True)
    assert defect.listing == "driver"
    says = "Each needs a certificate before LR-46 is operated."
    assert headings(receipt) == {"to_certify": (says, [defect.number])}
    owed = due_reviews([dock.trailer.pk])[dock.trailer.pk]
    assert (owed.defects, owed.noted) == ([defect], [])
    [found] = receipt["units"][0]["found"]
    assert (found["bars"], found["listing"]) == ("movement", "driver")
    assert receipt["says"].startswith("Do not drive LR-46 again")
    hob = acting_as(dock["hob"])
    read_again = [hob.get(f"defects/{defect.number}").json(), *hob.get("defects", bars="movement").json()["results"]]
    assert [(row["bars"], row["severity"]) for row in read_again] == [("movement", "next_shop_visit")] * 2
    assert hob.get("defects", bars="nothing").json()["results"] == []
    asked = dock.ask()
    assert asked.answer == "barred"
    assert codes(asked) == ["defect_not_certified", "review_not_signed"]
    said = reason_words(reason(asked, "defect_not_certified"), Reader(load_catalogue(), dt.UTC, "en"))
    assert said.endswith(f"Defect {defect.number} needs its certificate before LR-46 is operated again.")


def test_noted_first_and_listed_by_the_next_driver__listed(dock: Dock) -> None:
    defect, _ = cap(dock)
    again, receipt = cap(dock, listed=True)
    assert again == defect
    assert again.listing == "driver"
    assert receipt["units"][0]["found"][0]["bars"] == "movement"
    assert "defect_not_certified" in codes(dock.ask())


def test_listed_and_seen_again_without_a_word__stays_listed(dock: Dock) -> None:
    cap(dock, listed=True)
    again, _ = cap(dock)
    assert again.listing == "driver"


def test_noted_and_found_worse__listed(dock: Dock) -> None:
    cap(dock)
    worse, _ = cap(dock, finding="cord_showing")
    assert worse.listing == "safety"


@pytest.mark.parametrize(
    ("authority", "severity", "listing"),
    [
        (Authority.STATUTORY, Severity.NEXT_SHOP_VISIT, "foreman"),
        (Authority.STATUTORY, Severity.WATCH, "noted"),
        (Authority.CARRIER, Severity.NEXT_SHOP_VISIT, "noted"),
        (Authority.CARRIER, Severity.BEFORE_NEXT_USE, "safety"),
    ],
)
@pytest.mark.parametrize("unsafe", [True, False])
def test_free_text__listed_until_graded_and_then_as_driver_or_foreman_says(
    dock: Dock, authority: Authority, severity: Severity, listing: str, unsafe: bool
) -> None:
    defect = dock.walk("iris", faults=[fault_told("knocks when turning", unsafe=unsafe)])[0]
    assert defect.listing == "ungraded"
    bars = Bars.MOVEMENT if severity == Severity.BEFORE_NEXT_USE else Bars.NOTHING
    dock.grade(defect, severity, bars, authority=authority)
    defect.refresh_from_db()
    assert defect.listing == ("driver" if unsafe else listing)


def test_two_faults_in_own_words__each_keeps_what_the_driver_thought_of_it(dock: Dock) -> None:
    told = [fault_told("knocks when turning", place="left"), fault_told("map light is dim", unsafe=False)]
    knocks, light = sorted(dock.walk("iris", faults=told), key=lambda defect: defect.text)
    for defect in (knocks, light):
        dock.grade(defect, Severity.WATCH, Bars.NOTHING, authority=Authority.CARRIER)
        defect.refresh_from_db()
    assert (knocks.text, knocks.listing) == ("left: knocks when turning", "driver")
    assert (light.text, light.listing) == ("map light is dim", "noted")


def test_noted_defect_regraded_before_next_use__listed(dock: Dock) -> None:
    defect, _ = cap(dock)
    dock.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    defect.refresh_from_db()
    assert defect.listing == "safety"
