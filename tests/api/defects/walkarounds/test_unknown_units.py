"""A fault on a unit that nobody knows: foreman and dispatch are told at once, and the receipt names them."""

from common.ids import uuid7
from defects.models import Report
from fleet.models import Notification
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import body, check, put

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
