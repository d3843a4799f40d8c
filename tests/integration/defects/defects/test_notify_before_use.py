"""A fault before next use is the foreman's to hear of, at a carrier without any decision of its own."""

import pytest

from defects.models import Defect, Hold
from fleet.enums import NotificationKind
from fleet.models import Delivery, Notification
from fleet.services.notifications.endings import still_active
from tests.factories.fleet import PolicyFactory
from tests.support.dock import Dock
from tests.support.yard import Yard


@pytest.fixture
def dock(dock: Dock) -> Dock:
    """A carrier that has tightened nothing."""
    now = dock.now
    PolicyFactory.create(key="catalogue_tightening", value=[], valid_from=now, recorded_at=now)
    for name in ("hob", "cal"):
        person = dock[name]
        person.email = f"{name}@carrier.invalid"
        person.save()
    return dock


def stroke(dock: Dock) -> Defect:
    defect = dock.stroke("2.95")
    assert (defect.severity, Hold.objects.count()) == ("before_next_use", 0)
    return defect


def told() -> list[tuple[str, str, bool]]:
    rows = Notification.objects.filter(kind=NotificationKind.FAULT_BEFORE_USE).select_related("person")
    return [(row.person.name, row.facts["what"], row.urgent) for row in rows.order_by("person__name")]


def test_stroke_beyond_the_limit__the_foreman_hears_of_it_in_the_digest(dock: Dock) -> None:
    defect = stroke(dock)

    what = "Pushrod stroke, axle 2 right: 2.95 in, limit 2 in"
    assert told() == [("Hob Anselm", what, False), ("Ida Fell", what, False)]
    assert Delivery.objects.count() == 0
    notification = Notification.objects.get(subject_id=defect.pk, person=dock["hob"])
    assert (notification.unit_id, notification.facts["reported_by"]) == (defect.unit_id, defect.found_by.name)


def test_trip_asked_for_or_a_load_in_it__at_once(dock: Dock) -> None:
    dock.ask()
    defect = stroke(dock)

    assert [(name, urgent) for name, _, urgent in told()] == [("Hob Anselm", True), ("Ida Fell", True)]
    assert Delivery.objects.get().person == dock["hob"]
    assert Delivery.objects.get().notifications.get().subject_id == defect.pk


def test_load_waits_for_the_trailer__at_once(dock: Dock) -> None:
    dock.put(dock.load())
    stroke(dock)

    assert [(name, urgent) for name, _, urgent in told()] == [("Hob Anselm", True), ("Ida Fell", True)]


def test_fault_seen_again__notifies_once_and_not_at_all_once_certified(dock: Dock) -> None:
    defect = stroke(dock)
    dock.stroke("2.97")
    assert len(told()) == 2

    standing = Notification.objects.filter(kind=NotificationKind.FAULT_BEFORE_USE)
    assert still_active(standing).count() == 2
    dock.repaired_stroke(defect)
    assert still_active(standing).count() == 0


def test_do_not_move_by_the_carriers_own_rule__is_notified_as_a_hold_only(yard: Yard) -> None:
    yard.stroke("2.95")
    assert (Hold.objects.count(), told()) == (1, [])
