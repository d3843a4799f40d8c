"""A fault on a unit that nobody knows: foreman and dispatch are told at once, and the receipt names them."""

from datetime import UTC

from common.api.signed_reading import read_signed
from common.ids import uuid7
from defects.api.walkarounds.views import MOST_FOUND, submission_of
from defects.models import Defect, Report
from defects.rules.walkarounds.body import MAX_REPORTS, WalkaroundBody
from fleet.models import Notification
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import body, check, put, stroke

FLAT = check("tires.trailer.body", "axle-1-left-outer", "defect", finding="cord_showing", note="cord all round")


def test_fault_on_an_unknown_unit__foreman_and_dispatch_are_told_and_named() -> None:
    walk = body([{"unit": "NOPE-1", "checks": [FLAT], "faults": [{"text": "smells of fuel"}]}], finished_at=NOON)
    key = uuid7()
    receipt = put(acting_as("iris"), walk, key)
    notifications = Notification.objects.filter(kind="unit_unknown")
    assert {"hob", "cal"} <= {notification.person.username for notification in notifications}
    assert {row["name"] for row in receipt["recipients"]} == {
        notification.person.name for notification in notifications
    }
    assert {notification.subject_id for notification in notifications} == {Report.objects.get().pk}
    facts = notifications[0].facts
    assert facts["unit"] == "NOPE-1"
    assert len(facts["what"]) == 2
    assert facts["what"][1] == "smells of fuel"
    assert receipt["says"].startswith("Do not move NOPE-1: no such unit on record. Call the foreman. Parts of it")
    again = put(acting_as("iris"), walk, key, status=200)
    assert (again["recipients"], again["says"]) == (receipt["recipients"], receipt["says"])


def test_nothing_wrong_on_an_unknown_unit__tells_nobody() -> None:
    receipt = put(acting_as("iris"), body([{"unit": "NOPE-1"}], finished_at=NOON))
    assert receipt["recipients"] == []
    assert "Do not move" not in receipt["says"]
    assert not Notification.objects.exists()


def test_fault_on_a_known_unit__no_word_of_an_unknown_one() -> None:
    put(acting_as("iris"), body([{"unit": "LR-45", "checks": [FLAT]}], finished_at=NOON))
    assert not Notification.objects.filter(kind="unit_unknown").exists()


def test_ninth_report__its_fault_is_on_the_unit_that_it_names() -> None:
    reports = [{"unit": "NOPE-1"}] * MAX_REPORTS + [{"unit": " lr-45", "checks": [stroke("axle-1-left", "2.31")]}]
    put(acting_as("iris"), body(reports, finished_at=NOON))
    beyond = Defect.objects.get()
    assert (beyond.unit.number, beyond.graded, "2.31" in beyond.text) == ("LR-45", False, True)


def test_further_reports__no_more_units_than_findings_stand_one_by_one() -> None:
    sent = body([{"unit": f"U-{number}"} for number in range(2 * MOST_FOUND)], finished_at=NOON)
    read = submission_of(read_signed(WalkaroundBody, sent, lambda: UTC), "0" * 64, "").body.reports
    assert (len(read), read[-1].unit, len(read[-1].faults)) == (MAX_REPORTS + MOST_FOUND + 1, "?", 1)


def test_fault_on_no_unit_at_all__said_in_words() -> None:
    given = body([{"faults": [{"text": "knocks when turning"}]}], finished_at=NOON)
    says = put(acting_as("iris"), given)["says"]
    assert says.startswith("Do not move the unit: your report names none. Call the foreman.")
    assert "?" not in says
