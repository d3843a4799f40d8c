"""Reopening: the same defect while its review is owed, a new one linked to it once it is closed."""

import pytest

from common.errors import Conflict, Invalid
from defects.enums import Bars, Severity
from defects.models import Certificate, Defect, Hold, Sighting
from tests.factories.fleet import history_of
from tests.support.refusals import refused
from tests.support.yard import Yard, stroke_check


def closed_stroke(yard: Yard) -> Defect:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.lift(defect.holds.get())
    yard.review()
    defect.refresh_from_db()
    assert defect.state == "closed"
    return defect


def test_certified__reported_again_and_its_certificate_stays_on_record(yard: Yard) -> None:
    defect = yard.stroke()
    certificate = yard.repaired_stroke(defect)

    assert yard.reopen(defect) == defect

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("reported", None)
    assert list(defect.certificates.all()) == [certificate]
    assert "defect_reopened" in history_of(yard.trailer)
    again = yard.repaired_stroke(defect)
    assert Certificate.objects.get(pk=again.pk).supersedes == certificate


def test_certified_and_lifted__the_hold_stands_again_as_a_new_one(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.lift(defect.holds.get())

    yard.reopen(defect)

    assert [hold.lifted_at is None for hold in defect.holds.order_by("number")] == [False, True]


def test_certified_and_still_held__no_second_hold(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.reopen(defect)
    assert defect.holds.count() == 1


def test_reopened__on_a_repair_order_again(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    assert yard.trailer.repair_orders.get().state == "closed"

    yard.reopen(defect)

    defect.refresh_from_db()
    assert defect.order_number == yard.trailer.repair_orders.get(state="open").number


def test_reopened__review_is_refused_until_it_is_certified_anew(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.reopen(defect)
    with refused(Conflict, "certificate_missing", defects=[defect.number]):
        yard.review()
    yard.repaired_stroke(defect)
    yard.review()
    assert Defect.objects.get(pk=defect.pk).state == "closed"


def test_reopened__the_value_that_proved_the_repair_proves_nothing_any_more(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.reopen(defect)
    with refused(Invalid, "certificate_without_evidence"):
        yard.certify(defect)
    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    with refused(Conflict, "dismissal_refused"):
        yard.dismiss(defect)


def test_closed__a_new_defect_linked_as_its_comeback_and_the_old_one_stays_closed(yard: Yard) -> None:
    before = closed_stroke(yard)

    defect = yard.reopen(before, "greta", reason="2.12 in on the road test")

    assert (defect.pk != before.pk, defect.comeback_of, defect.state) == (True, before, "reported")
    assert (defect.point, defect.place, defect.severity, defect.regulation_severity) == (
        before.point,
        before.place,
        before.severity,
        before.regulation_severity,
    )
    assert (defect.found_by, defect.current_certificate, defect.report) == (yard["greta"], None, None)
    assert Sighting.objects.get(defect=defect).note == "2.12 in on the road test"
    assert Hold.objects.get(defect=defect).lifted_at is None
    assert Defect.objects.get(pk=before.pk).state == "closed"
    assert Defect.objects.get(pk=defect.pk).order_number is not None


@pytest.mark.parametrize("closed", [False, True])
def test_same_fault_found_again_meanwhile__refused_with_its_number(yard: Yard, closed: bool) -> None:
    before = closed_stroke(yard) if closed else yard.stroke()
    if not closed:
        yard.repaired_stroke(before)
    [again] = yard.walk("sol", checks=[stroke_check("2.12")])
    with refused(Conflict, "fault_already_open", defect=again.number):
        yard.reopen(before)


def test_closed_and_its_comeback_certified_but_not_reviewed__refused(yard: Yard) -> None:
    before = closed_stroke(yard)
    [again] = yard.walk("sol", checks=[stroke_check("2.12")])
    yard.repaired_stroke(again)
    with pytest.raises(Conflict) as caught:
        yard.reopen(before)
    assert caught.value.facts["defect"] == again.number


def test_without_a_reason__refused(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    with pytest.raises(Invalid):
        yard.reopen(defect, reason=" ")
