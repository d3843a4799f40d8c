"""Certificates: who may sign, what proves the repair, and what becomes of the defect."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict, Invalid, NotAllowed, NotFound
from common.ids import uuid7
from defects.enums import Bars, Severity
from defects.models import Certificate, Defect, Measurement, Sighting
from defects.services.certificates.certify import certify_repaired
from defects.services.defects.repeated_tests import record_test
from defects.services.records.measurements import Measured
from defects.services.records.signatures import Signing
from defects.signals import defects_certified
from fleet.enums import Scope, SignatureMethod
from tests.factories.defects import DefectFactory
from tests.factories.fleet import history_of, qualify
from tests.support.refusals import refused, refuses
from tests.support.submissions import answer_to
from tests.support.yard import HOUR, MINUTE, PLACE, STROKE, TAPE, Yard, photo_on, stroke_check


def test_measured_defect_within_limits__certified_and_waits_for_the_review(yard: Yard) -> None:
    defect = yard.stroke()
    announced: list[object] = []

    def listen(certificates: list[Certificate], **_: object) -> None:
        announced.extend(certificates)

    defects_certified.connect(listen)
    try:
        certificate = yard.repaired_stroke(defect)
    finally:
        defects_certified.disconnect(listen)

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate_id, defect.closed_at) == ("certified", certificate.pk, None)
    assert certificate.measurement is not None
    assert certificate.measurement.value == Decimal("1.62")
    assert [person.name for person in certificate.worked_by.all()] == ["Greta Lind"]
    assert (certificate.signature.signer, certificate.signature.token_owner) == (yard["greta"], yard["greta"])
    assert announced == [certificate]
    assert history_of(yard.trailer).count("certificate_signed") == 1


def test_measurement_on_record_since_it_was_found__proves_the_repair(yard: Yard) -> None:
    defect = yard.stroke()
    yard.walk("greta", checks=[stroke_check("1.70", "fine")])

    assert yard.certify(defect).measurement == Measurement.objects.get(value="1.70")


@pytest.mark.parametrize("value", ["2.00", "1.99"])
def test_measured_at_the_limit_or_under__proves_it(yard: Yard, value: str) -> None:
    measured = yard.repaired_stroke(yard.stroke(), value=value).measurement
    assert measured is not None
    assert measured.value == Decimal(value)


def test_measured_over_the_limit__refused_with_the_limit(yard: Yard) -> None:
    found = refuses(Invalid, "measurement_past_limit", yard.certify, yard.stroke(), measured=yard.measured("2.01"))
    assert found.facts["limit"] == "2"


def test_nothing_measured_since__refused(yard: Yard) -> None:
    found = refuses(Invalid, "certificate_without_evidence", yard.certify, yard.stroke())
    assert (found.facts, found.problems[0].pointer) == ({"evidence": "measurement"}, "/measured")


def test_measured_before_it_was_found__refused(yard: Yard) -> None:
    defect = yard.stroke()
    early = Measured(Decimal("1.62"), "in", defect.found_at)
    found = refuses(Invalid, "measured_before_found", yard.certify, defect, measured=early)
    assert found.facts["found_at"] == defect.found_at


def test_photo_of_before_it_was_last_found__proves_no_repair(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    photo = photo_on(defect, at=yard.later())
    yard.finding(TAPE, finding="damaged", by="sol")
    found = refuses(Invalid, "photo_before_found", yard.certify, defect, "sam", photo=photo)
    assert (found.problems[0].pointer, found.facts["found_at"]) == ("/photo", yard.now - MINUTE)

    yard.certify(defect, "sam", photo=photo_on(defect, "b" * 64, at=yard.later()))
    yard.reopen(defect)
    defect.refresh_from_db()
    refuses(Invalid, "photo_before_found", yard.certify, defect, "sam", photo="b" * 64)


def test_seen_again_after_the_measurement__the_older_value_shows_nothing(yard: Yard) -> None:
    defect = yard.stroke()
    good = yard.measured("1.62")
    yard.walk("greta", checks=[stroke_check("1.62", "fine")])
    yard.walk("sol", checks=[answer_to(STROKE, "defect", place=PLACE, finding="indicator_past_mark")])

    refuses(Invalid, "certificate_without_evidence", yard.certify, defect)
    refuses(Invalid, "measured_before_found", yard.certify, defect, measured=good)
    yard.repaired_stroke(defect)


def test_measured_in_another_unit__refused(yard: Yard) -> None:
    refuses(Invalid, "measurement_unusable", yard.certify, yard.stroke(), measured=yard.measured("41", "mm"))


def test_axle_not_recorded__no_value_proves_it(yard: Yard) -> None:
    defect = yard.stroke()
    yard.trailer.axles.all().delete()
    Defect.objects.filter(pk=defect.pk).update(limit_value=None, limit="")
    refuses(Invalid, "measurement_limit_unknown", yard.certify, defect, measured=yard.measured())


def test_photo_point__needs_a_photo_that_is_stored_on_the_defect(yard: Yard) -> None:
    defect = yard.finding("wheels.nuts-and-rims", PLACE, "rust_trail")

    found = refuses(Invalid, "certificate_without_evidence", yard.certify, defect, "sam")
    assert (found.facts, found.problems[0].pointer) == ({"evidence": "photo"}, "/photo")
    refuses(Invalid, "photo_not_stored", yard.certify, defect, "sam", photo="b" * 64)

    assert yard.certify(defect, "sam", photo=photo_on(defect)).photo_sha256 == "a" * 64


def test_statement_point__needs_words(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")

    found = refuses(Invalid, "required_fields_missing", yard.certify, defect, "sam", text="  ")
    assert [problem.pointer for problem in found.problems] == ["/statement"]
    yard.certify(defect, "sam", text="bulb changed")


def test_nobody_known_to_have_worked__refused_until_the_certificate_names_who_did(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    found = refuses(Invalid, "nobody_worked", yard.certify, defect, worked_by=())
    assert found.problems[0].pointer == "/worked_by"
    certificate = yard.certify(defect, worked_by=[yard["sam"].pk])
    assert {person.name for person in certificate.worked_by.all()} == {"Greta Lind", "Sam Ruy"}


def test_test_point__needs_the_test_repeated_by_another_than_who_worked(yard: Yard) -> None:
    defect = yard.finding("brakes.trailer.emergency-application")
    found = refuses(Invalid, "certificate_without_evidence", yard.certify, defect)
    assert found.facts == {"evidence": "repeated_test"}
    yard.repeat_test(defect, "greta")
    refuses(Invalid, "certificate_without_evidence", yard.certify, defect)
    yard.repeat_test(defect, "sol")
    refuses(Invalid, "certificate_without_evidence", yard.certify, defect, worked_by=[yard["sol"].pk])

    certificate = yard.certify(defect)

    assert certificate.repeated_test is not None
    assert (certificate.repeated_test.person, certificate.repeated_test.passed) == (yard["sol"], True)


def test_test_at_a_point_that_asks_something_else__refused(yard: Yard) -> None:
    with refused(Conflict, "test_shows_nothing", evidence="measurement"):
        yard.repeat_test(yard.stroke())


def test_test_before_it_was_found_or_by_one_whose_word_does_not_count__refused(yard: Yard) -> None:
    defect = yard.finding("brakes.trailer.emergency-application")
    given: dict[str, Any] = {"defect_id": defect.pk, "passed": True, "note": "", "now": yard.now}
    with refused(Invalid, "tested_before_found"):
        record_test(tested_at=defect.found_at, actor=yard["sol"], **given)
    with pytest.raises(NotAllowed):
        record_test(tested_at=yard.now, actor=yard["cal"], **given)


def test_held_though_words_were_enough__a_photo_or_a_test_is_asked(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT)
    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    found = refuses(Invalid, "certificate_without_evidence", yard.certify, defect)
    assert found.facts == {"evidence": "photo"}
    yard.certify(defect, photo=photo_on(defect))


def test_driver_as_the_carriers_agent__with_a_reason_and_flagged(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")

    certificate = yard.certify(defect, "iris", agent_reason="bulb changed at the stop, seen working")

    assert certificate.agent_reason == "bulb changed at the stop, seen working"
    assert Defect.objects.get(pk=defect.pk).state == "certified"


def test_agent_reason_by_a_mechanic__is_not_kept_as_a_flag(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    assert yard.certify(defect, "sam", agent_reason="x").agent_reason == ""


def test_brake_work_without_qualification__refused_until_there_is_one_in_force(yard: Yard) -> None:
    defect = yard.stroke()
    given = {"measured": yard.measured()}

    found = refuses(NotAllowed, "brake_qualification_needed", yard.certify, defect, "sam", **given)
    assert found.facts["needed"] == ["brakes_adjust", "brakes_repair"]
    qualify(yard["sam"], Scope.BRAKES_INSPECT)
    ended = qualify(yard["sam"], Scope.BRAKES_ADJUST, ends_on=yard.now.date() - dt.timedelta(days=1))
    refuses(NotAllowed, "brake_qualification_needed", yard.certify, defect, "sam", **given)
    ended.ends_on = yard.now.date()
    ended.save()
    yard.certify(defect, "sam", **given)


@pytest.mark.parametrize("signer", ["rita", "greta", "lone"])
def test_signature_of_another__refused(yard: Yard, signer: str) -> None:
    signing = Signing(yard[signer], SignatureMethod.DRAWN, yard.now + MINUTE, "I sign.")
    refuses(NotAllowed, "sign_yourself", yard.certify, yard.stroke(), "hob", signing=signing)


def test_signed_in_the_future__refused_but_a_clock_a_minute_ahead_is_put_right(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    ahead = Signing(yard["sam"], SignatureMethod.DRAWN, yard.now + HOUR, "I sign.")
    refuses(Invalid, "signed_in_future", yard.certify, defect, "sam", signing=ahead)

    a_little = Signing(yard["sam"], SignatureMethod.DRAWN, yard.now + 2 * MINUTE, "I sign.")
    assert yard.certify(defect, "sam", signing=a_little).certified_at == yard.now


def test_signed_before_it_was_found__refused(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    early = Signing(yard["sam"], SignatureMethod.DRAWN, defect.found_at - MINUTE, "I sign.")
    refuses(Invalid, "signed_before_found", yard.certify, defect, "sam", signing=early)


def test_signed_before_the_measurement_it_rests_on__refused(yard: Yard) -> None:
    defect = yard.stroke()
    measured = yard.measured()
    early = Signing(yard["greta"], SignatureMethod.DRAWN, measured.measured_at - MINUTE, "I sign.")
    refuses(Invalid, "instant_too_early", yard.certify, defect, measured=measured, signing=early)


def test_free_text_fault__is_graded_before_it_is_certified(yard: Yard) -> None:
    defect = yard.fault()
    refuses(Conflict, "defect_not_graded", yard.certify, defect, "sam")

    yard.grade(defect, Severity.NEXT_SHOP_VISIT, Bars.NOTHING)
    yard.certify(defect, "sam", photo=photo_on(defect))


def test_defect_that_no_driver_reported__closes_on_its_certificate(yard: Yard) -> None:
    own = DefectFactory.create(
        unit=yard.trailer,
        point="lamps.trailer.plate",
        rule="lamps.trailer.plate#out",
        found_by=yard["sam"],
        found_at=yard.now,
        recorded_at=yard.now,
    )

    yard.certify(own, "sam")

    own.refresh_from_db()
    assert (own.state, own.closed_at) == ("closed", yard.now)
    assert history_of(yard.trailer)[-2:] == ["certificate_signed", "defect_closed"]
    assert not Sighting.objects.filter(defect=own).exists()


def test_carrier_defect__closes_on_its_certificate_without_a_review(yard: Yard) -> None:
    defect = yard.finding("doors.hold-backs", "left", "broken")
    assert defect.authority == "carrier"

    yard.certify(defect, "sam")

    assert Defect.objects.get(pk=defect.pk).state == "closed"


def test_people_who_worked__are_on_the_certificate_and_the_list_starts_anew(yard: Yard) -> None:
    defect = yard.stroke()
    defect.worked_by.add(yard["sam"])

    certificate = yard.repaired_stroke(defect, worked_by=[yard["hob"].pk])

    assert sorted(person.name for person in certificate.worked_by.all()) == ["Greta Lind", "Hob Anselm", "Sam Ruy"]
    assert not defect.worked_by.exists()


def test_superseded__the_old_one_stays_and_its_people_go_along(yard: Yard) -> None:
    defect = yard.stroke()
    first = yard.repaired_stroke(defect)

    second = yard.supersede(defect, "hob", text="adjuster and clevis replaced", measured=yard.measured("1.60"))

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("certified", second)
    assert (second.supersedes, Certificate.objects.get(pk=first.pk).statement) == (first, "repaired")
    assert sorted(person.name for person in second.worked_by.all()) == ["Greta Lind", "Hob Anselm"]


def test_unknown_defect__not_found(yard: Yard) -> None:
    with refused(NotFound, "defect_unknown"):
        certify_repaired(
            defect_id=uuid7(), version=1, statement=yard.statement(yard["greta"]), actor=yard["greta"], now=yard.now
        )


def test_late_report_from_before_the_certificate__a_sighting_and_no_new_hold(yard: Yard) -> None:
    defect = yard.stroke()
    before = yard.now
    yard.later(HOUR)
    yard.repaired_stroke(defect)
    yard.lift(defect.holds.get(), "ida")

    seen = yard.walk("sol", checks=[stroke_check("2.31")], at=before + MINUTE)

    assert seen == [defect]
    assert Defect.objects.get(pk=defect.pk).state == "certified"
    assert [hold.lifted_at is not None for hold in defect.holds.all()] == [True]


def test_same_fault_after_the_certificate__a_new_defect_linked_as_a_comeback(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)

    [again] = yard.walk("sol", checks=[stroke_check("2.12")])

    assert (again.pk != defect.pk, again.comeback_of, again.point) == (True, defect, STROKE)
