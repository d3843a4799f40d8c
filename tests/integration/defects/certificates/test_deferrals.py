"""Repair unnecessary for now: what may be put off, until when, and what happens when the limit passes."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict, Invalid
from defects.enums import Bars, DefectState, Severity
from defects.models import Certificate, Defect
from defects.services.certificates.deferrals import return_past_limit
from defects.services.defects.evidence import Until
from defects.services.defects.repair import put_back, put_in_repair
from fleet.enums import MeterKind
from tests.factories.defects import MeasurementFactory
from tests.factories.fleet import MeterReadingFactory, history_of, make_reading
from tests.support.refusals import refuses
from tests.support.yard import HORN, HOUR, MINUTE, PLACE, TAPE, Yard, photo_on, stroke_check

DAY = dt.timedelta(days=1)


def put_off(yard: Yard, until: Until | None = None) -> Defect:
    """A worn tape, put off."""
    defect = yard.finding(TAPE, finding="damaged")
    given: dict[str, Any] = {} if until is None else {"until": until}
    yard.dismiss(defect, photo=photo_on(defect), **given)
    defect.refresh_from_db()
    return defect


def belt(yard: Yard) -> Defect:
    return yard.finding("engine.belts", finding="cracked_or_frayed", unit=yard.tractor)


def test_put_off__deferred_with_its_limit_and_the_order_still_open(yard: Yard) -> None:
    defect = put_off(yard)

    certificate = Certificate.objects.get(defect=defect)
    assert (defect.state, defect.current_certificate) == ("deferred", certificate)
    assert (certificate.kind, certificate.limit_on) == ("repair_unnecessary", dt.date(2026, 3, 14))
    assert defect.order_number is not None
    assert defect.unit.repair_orders.get().state == "open"
    assert "certificate_signed" in history_of(yard.trailer)


def test_review__sees_the_certificate_and_closes_nothing(yard: Yard) -> None:
    defect = put_off(yard)

    [row] = yard.review()

    assert [document.pk for document in row.certificates.all()] == [defect.current_certificate_id]
    assert Defect.objects.get(pk=defect.pk).state == "deferred"


def test_without_a_limit__refused(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    refuses(Invalid, "limit_needed", yard.dismiss, defect, photo=photo_on(defect), until=Until())


def test_without_evidence__refused(yard: Yard) -> None:
    found = refuses(Invalid, "certificate_without_evidence", yard.dismiss, yard.finding(TAPE, finding="damaged"))
    assert found.facts == {"evidence": "photo"}


@pytest.mark.parametrize(
    ("until", "pointer", "code"),
    [
        (Until(on=dt.date(2026, 3, 5)), "/limit_on", "limit_passed"),
        (Until(mi=Decimal(1000)), "/limit_mi", "limit_passed"),
        (Until(engine_h=Decimal(50)), "/limit_engine_h", "meter_never_read"),
    ],
)
def test_limit_that_passed_or_never_shows__refused(yard: Yard, until: Until, pointer: str, code: str) -> None:
    make_reading(yard.tractor, "1000.0")
    defect = belt(yard)
    found = refuses(Invalid, "limit_refused", yard.dismiss, defect, photo=photo_on(defect), until=until)
    assert [(problem.pointer, problem.code) for problem in found.problems] == [(pointer, code)]


def test_meter_that_the_unit_has_not__refused(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    until = Until(engine_h=Decimal(50))
    found = refuses(Invalid, "limit_refused", yard.dismiss, defect, photo=photo_on(defect), until=until)
    assert [problem.code for problem in found.problems] == ["meter_not_on_unit"]


def test_last_day_is_today__allowed(yard: Yard) -> None:
    assert put_off(yard, Until(on=dt.date(2026, 3, 6))).state == DefectState.DEFERRED


def test_do_not_move__never_put_off_even_measured_within(yard: Yard) -> None:
    defect = yard.stroke()
    yard.walk("greta", checks=[stroke_check("1.70", "fine")])
    found = refuses(Conflict, "dismissal_refused", yard.dismiss, defect)
    assert (found.facts["severity"], found.facts["regulation"]) == ("do_not_move", "before_next_use")


def test_past_a_regulation__not_put_off_without_a_new_measurement_within(yard: Yard) -> None:
    defect = yard.finding(HORN, finding="silent", unit=yard.tractor)
    refuses(Conflict, "dismissal_refused", yard.dismiss, defect)


def test_past_a_regulation_measured_within_since__may_be_put_off(yard: Yard) -> None:
    defect = yard.finding("air.build-up-time", finding="too_slow", unit=yard.tractor)
    assert defect.regulation_severity == "before_next_use"
    MeasurementFactory.create(
        unit=yard.tractor,
        point="air.build-up-time",
        value="46",
        unit_of_measure="s",
        measured_at=yard.later(),
        person=yard["greta"],
    )
    refuses(Conflict, "dismissal_refused", yard.dismiss, defect)
    MeasurementFactory.create(
        unit=yard.tractor,
        point="air.build-up-time",
        value="44",
        unit_of_measure="s",
        measured_at=yard.later(),
        person=yard["greta"],
    )
    yard.dismiss(defect)


def test_on_an_officers_notice__not_put_off(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    yard.officers_order(defect)
    refuses(Conflict, "on_officers_order", yard.dismiss, defect, photo=photo_on(defect))


def test_superseded_by_a_longer_one__the_new_limit_holds(yard: Yard) -> None:
    defect = put_off(yard)
    first = defect.current_certificate

    second = yard.supersede(defect, photo="a" * 64, until=Until(on=dt.date(2026, 3, 20)))

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate, second.supersedes) == ("deferred", second, first)


def test_last_day__holds_in_full_and_ends_at_the_carriers_midnight(yard: Yard) -> None:
    defect = put_off(yard, Until(on=dt.date(2026, 3, 7)))
    midnight = dt.datetime(2026, 3, 8, 6, tzinfo=dt.UTC)
    """Chicago is at UTC-6 until its clocks change, two hours later."""

    assert return_past_limit(now=midnight - MINUTE) == 0
    assert Defect.objects.get(pk=defect.pk).state == "deferred"
    assert return_past_limit(now=midnight) == 1

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("reported", None)
    assert history_of(yard.trailer)[-1] == "deferral_ended"
    assert return_past_limit(now=midnight) == 0


@pytest.mark.parametrize(("shown", "ended"), [("1149.9", 0), ("1150.0", 1)])
def test_miles__end_it_when_they_are_reached(yard: Yard, shown: str, ended: int) -> None:
    make_reading(yard.tractor, "1000.0")
    defect = belt(yard)
    yard.dismiss(defect, photo=photo_on(defect), until=Until(mi=Decimal(1150)))
    MeterReadingFactory.create(
        unit=yard.tractor,
        meter=MeterKind.ODOMETER_MI,
        shown=shown,
        total=shown,
        read_at=yard.later(HOUR),
        recorded_at=yard.now,
        recorded_by=yard["iris"],
    )

    assert return_past_limit(now=yard.now) == ended


def test_reading_set_aside__does_not_end_it(yard: Yard) -> None:
    make_reading(yard.tractor, "1000.0")
    defect = belt(yard)
    yard.dismiss(defect, photo=photo_on(defect), until=Until(mi=Decimal(1150)))
    MeterReadingFactory.create(
        unit=yard.tractor,
        meter=MeterKind.ODOMETER_MI,
        shown="999999.0",
        total="999999.0",
        state="set_aside",
        flag="implausible",
        read_at=yard.later(HOUR),
        recorded_at=yard.now,
        recorded_by=yard["iris"],
    )
    assert return_past_limit(now=yard.now) == 0


def test_found_worse__the_certificate_no_longer_covers_it(yard: Yard) -> None:
    defect = yard.finding("wheels.nuts-and-rims", PLACE, "rust_trail")
    Defect.objects.filter(pk=defect.pk).update(severity="next_shop_visit", bars="nothing")
    yard.dismiss(defect, photo=photo_on(defect))

    yard.finding("wheels.nuts-and-rims", PLACE, "nut_loose_or_missing", by="sol")

    defect.refresh_from_db()
    assert (defect.state, defect.severity, defect.current_certificate) == ("reported", "do_not_move", None)
    assert defect.holds.get().lifted_at is None


def test_regraded_worse__reported_again(yard: Yard) -> None:
    defect = put_off(yard)

    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("reported", None)


def test_begun_and_put_back_before_the_limit__deferred_again(yard: Yard) -> None:
    defect = put_off(yard)
    put_in_repair(defect)
    assert defect.state == "in_repair"

    put_back([defect])

    defect.refresh_from_db()
    assert defect.state == "deferred"
    assert defect.current_certificate is not None


def test_limit_passes_while_in_repair__stays_there_and_is_put_back_as_reported(yard: Yard) -> None:
    defect = put_off(yard)
    put_in_repair(defect)

    assert return_past_limit(now=yard.now + 30 * DAY) == 1

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("in_repair", None)
    put_back([defect])
    assert Defect.objects.get(pk=defect.pk).state == "reported"


def test_deferred_then_repaired__certified_and_the_deferral_superseded(yard: Yard) -> None:
    defect = put_off(yard)
    deferral = defect.current_certificate

    certificate = yard.certify(defect, photo="a" * 64)

    defect.refresh_from_db()
    assert (defect.state, certificate.supersedes) == ("certified", deferral)
    assert return_past_limit(now=yard.now + 30 * DAY) == 0
