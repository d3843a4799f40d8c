"""Entered in error: only after a second person measured or looked, never after work or under an officer's order."""

import pytest

from common.errors import Conflict, Invalid, NotAllowed
from defects.models import Defect, EntryInError, Sighting
from tests.factories.defects import MeasurementFactory
from tests.factories.fleet import history_of
from tests.support.refusals import refused, refuses
from tests.support.yard import PLACE, STROKE, TAPE, Yard, photo_on


def test_measured_within_by_a_second_person__ended_with_the_original_kept(yard: Yard) -> None:
    defect = yard.stroke()

    yard.in_error(defect, measured=yard.measured("1.75"))

    ended = Defect.objects.get(pk=defect.pk)
    assert (ended.state, ended.value, ended.found_by, ended.severity) == (
        "entered_in_error",
        defect.value,
        yard["iris"],
        "do_not_move",
    )
    assert Sighting.objects.filter(defect=defect).count() == 1
    assert "defect_entered_in_error" in history_of(yard.trailer)


def test_its_hold__can_then_be_lifted_by_another_and_the_lift_is_flagged(yard: Yard) -> None:
    defect = yard.stroke()
    hold = defect.holds.get()
    with pytest.raises(Conflict):
        yard.lift(hold)
    yard.in_error(defect, measured=yard.measured("1.75"))

    with refused(NotAllowed, "in_error_by_another"):
        yard.lift(hold)
    assert yard.lift(hold, "ida").lift_flag == "entered_in_error"


def test_entry__is_signed_and_says_who_showed_it_by_what(yard: Yard) -> None:
    defect = yard.stroke()
    yard.in_error(defect, measured=yard.measured("1.75"))
    entry = EntryInError.objects.get(defect=defect)
    assert (entry.signature.purpose, entry.signature.signer, entry.shown_by, entry.shown_how) == (
        "in_error",
        yard["hob"],
        yard["hob"],
        "measurement",
    )


def test_signed_by_another__refused(yard: Yard) -> None:
    refuses(NotAllowed, "sign_yourself", yard.in_error, yard.stroke(), measured=yard.measured("1.75"), signer="ida")


@pytest.mark.parametrize("point", ["brakes.trailer.emergency-application", "lamps.trailer.plate"])
def test_one_word__ends_nothing_that_a_regulation_grades(yard: Yard, point: str) -> None:
    defect = yard.finding(point)
    assert defect.regulation_severity or defect.severity == "do_not_move"
    found = refuses(Invalid, "error_without_evidence", yard.in_error, defect, reason="x")
    assert found.facts["evidence"] in {"photo", "repeated_test"}


def test_test_repeated_by_another_whose_word_counts__ends_it(yard: Yard) -> None:
    defect = yard.finding("brakes.trailer.emergency-application")
    refuses(Invalid, "error_without_evidence", yard.in_error, defect)
    yard.repeat_test(defect, "iris")
    refuses(Invalid, "error_without_evidence", yard.in_error, defect)
    yard.repeat_test(defect, "sol")
    yard.in_error(defect)
    assert EntryInError.objects.get(defect=defect).shown_by == yard["sol"]


def test_test_that_failed_again__shows_the_fault_and_older_ones_show_nothing(yard: Yard) -> None:
    defect = yard.finding("brakes.trailer.emergency-application")
    yard.repeat_test(defect, "sol")
    yard.repeat_test(defect, "greta", passed=False)
    refuses(Invalid, "error_without_evidence", yard.in_error, defect)


def test_measured_by_one_whose_word_does_not_count_there__refused(yard: Yard) -> None:
    refuses(Invalid, "word_does_not_count", yard.in_error, yard.stroke(), "ida", measured=yard.measured("1.75"))


def test_its_work__is_dropped_from_the_order(yard: Yard) -> None:
    defect = yard.stroke()
    assert yard.trailer.repair_orders.get().tasks.get().state == "open"
    yard.in_error(defect, measured=yard.measured("1.75"))
    assert yard.trailer.repair_orders.get().tasks.get().state == "cancelled"


def test_its_review__is_still_due_for_the_report_but_nothing_is_missing(yard: Yard) -> None:
    yard.in_error(yard.stroke(), measured=yard.measured("1.75"))
    [row] = yard.review()
    assert row.reports.count() == 1


def test_measured_by_the_finder__refused(yard: Yard) -> None:
    defect = yard.stroke()
    MeasurementFactory.create(
        unit=yard.trailer, point=STROKE, place=PLACE, value="1.70", measured_at=yard.later(), person=yard["iris"]
    )
    refuses(Invalid, "second_person_needed", yard.in_error, defect)


def test_measured_by_whoever_saw_it_too__refused(yard: Yard) -> None:
    defect = yard.stroke()
    yard.stroke(by="hob")
    refuses(Invalid, "second_person_needed", yard.in_error, defect, measured=yard.measured("1.75"))


def test_measured_past_the_limit_still__refused(yard: Yard) -> None:
    refuses(Invalid, "measurement_past_limit", yard.in_error, yard.stroke(), measured=yard.measured("2.05"))


def test_nothing_measured__refused(yard: Yard) -> None:
    found = refuses(Invalid, "error_without_evidence", yard.in_error, yard.stroke())
    assert found.facts == {"evidence": "measurement"}


def test_looked_at_point__a_photo_where_the_point_asks_for_one(yard: Yard) -> None:
    defect = yard.finding("wheels.nuts-and-rims", PLACE, "rust_trail")
    found = refuses(Invalid, "error_without_evidence", yard.in_error, defect)
    assert found.facts == {"evidence": "photo"}
    refuses(Invalid, "photo_not_stored", yard.in_error, defect, photo="b" * 64)
    refuses(Invalid, "second_person_needed", yard.in_error, defect, photo=photo_on(defect, "c" * 64))
    yard.in_error(defect, photo=photo_on(defect, by=yard["hob"]))
    assert Defect.objects.get(pk=defect.pk).state == "entered_in_error"


def test_point_that_is_tried_out__no_picture_shows_that_nothing_is_wrong(yard: Yard) -> None:
    defect = yard.finding("brakes.trailer.emergency-application")
    found = refuses(Invalid, "error_without_evidence", yard.in_error, defect, photo=photo_on(defect, by=yard["hob"]))
    assert found.facts == {"evidence": "repeated_test"}


def test_photo_of_before_it_was_found_again__shows_nothing(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate")
    photo = photo_on(defect, by=yard["hob"], at=yard.later())
    yard.finding("lamps.trailer.plate", by="sol")
    refuses(Invalid, "photo_before_found", yard.in_error, defect, photo=photo)


def test_looked_at_by_the_foreman_who_found_it__refused(yard: Yard) -> None:
    defect = yard.finding("doors.hold-backs", "left", "broken", by="hob")
    refuses(Invalid, "second_person_needed", yard.in_error, defect)
    yard.in_error(defect, "ida")
    assert EntryInError.objects.get(defect=defect).shown_how == "look"


def test_worked_on__refused_because_it_was_repaired(yard: Yard) -> None:
    defect = yard.stroke()
    defect.worked_by.add(yard["greta"])
    refuses(Conflict, "worked_on_already", yard.in_error, defect, measured=yard.measured("1.75"))


def test_repaired_once_and_reopened__was_no_error(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    yard.reopen(defect)
    defect.refresh_from_db()
    refuses(Conflict, "worked_on_already", yard.in_error, defect, measured=yard.measured("1.75"))


def test_worked_on_and_then_put_off__was_no_error(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    defect.worked_by.add(yard["greta"])
    yard.dismiss(defect, photo=photo_on(defect))
    defect.refresh_from_db()
    refuses(Conflict, "worked_on_already", yard.in_error, defect, photo=photo_on(defect, "b" * 64, by=yard["hob"]))


def test_on_an_officers_notice__refused(yard: Yard) -> None:
    defect = yard.stroke()
    yard.officers_order(defect)
    refuses(Conflict, "on_officers_order", yard.in_error, defect, measured=yard.measured("1.75"))
