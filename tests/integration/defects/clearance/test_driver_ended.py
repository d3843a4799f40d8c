"""Faults that are the driver's to end: no repair order, a driver step, and a later answer that ends them."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from defects.models import Certificate, Defect
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.walkarounds.body import CheckBody
from defects.selectors.clearance.reason_messages import Reader, end_words, reason_words
from fleet.models import CoolingForecast, CoolingReading
from fleet.services.cooling.learning import learn_from_readings
from tests.support.dock import Dock, codes, reason, unknowns
from tests.support.submissions import answer_to
from workorders.models import RepairTask

SETPOINT, MODE, PRE_COOL = "cooling.setpoint", "cooling.running-mode", "cooling.pre-cool"
RETURN_AIR, FUEL = "cooling.return-air", "cooling.fuel.level"
AS_ORDERED = {
    SETPOINT: answer_to(SETPOINT, "fine", value="-10", unit_of_measure="degF"),
    MODE: answer_to(MODE, "fine"),
    PRE_COOL: answer_to(PRE_COOL, "fine"),
}


def off(point: str) -> CheckBody:
    if point == SETPOINT:
        return answer_to(point, "defect", value="20", unit_of_measure="degF")
    return answer_to(point, "defect")


def planned(dock: Dock) -> None:
    """A frozen load, to be kept at -10 °F, planned for the trailer."""
    dock.load(trailer=dock.trailer)


def answered(dock: Dock, *checks: CheckBody, at: dt.datetime | None = None) -> list[Defect]:
    return dock.walk("sol", unit=dock.cooling_unit, checks=checks, at=at)


def says(row: dict[str, Any], language: str = "en") -> tuple[str, str]:
    return reason_words(row, Reader(load_catalogue(), dt.UTC, language)), end_words(row, language)


@pytest.mark.parametrize("point", [SETPOINT, MODE, PRE_COOL])
def test_fault_of_the_settings__a_driver_step_without_an_order_until_answered_again(dock: Dock, point: str) -> None:
    planned(dock)
    [defect] = answered(dock, off(point))
    assert (RepairTask.objects.count(), defect.order_number, defect.holds.count()) == (0, None, 0)
    asked = dock.ask(load="L-1")
    assert (asked.answer, codes(asked)) == ("after_driver_steps", ["to_put_right"])

    answered(dock, AS_ORDERED[point])

    defect.refresh_from_db()
    assert defect.state == "closed"
    assert dock.ask(load="L-1").answer == "nothing_known_against"


def test_step__says_what_to_do(dock: Dock) -> None:
    planned(dock)
    answered(dock, off(SETPOINT))
    row = reason(dock.ask(load="L-1"), "to_put_right")
    assert says(row)[0].endswith(". Set the setpoint as ordered, then answer it again.")
    assert says(row)[1] == "when the driver has corrected it and answered again"
    assert says(row, "es")[0].endswith(". Fije la temperatura como dice la orden y responda otra vez.")


def test_load_not_named__left_open(dock: Dock) -> None:
    answered(dock, off(MODE))
    assert unknowns(dock.ask()) == ["cold_defect_load_unknown"]


def test_dry_load__nothing_to_put_right(dock: Dock) -> None:
    dock.load("D-1", "dry")
    answered(dock, off(MODE))
    assert dock.ask(load="D-1").answer == "nothing_known_against"


def test_still_wrong_when_answered_again__stays(dock: Dock) -> None:
    planned(dock)
    [defect] = answered(dock, off(SETPOINT))
    answered(dock, answer_to(SETPOINT, "fine", value="3", unit_of_measure="degF"))
    defect.refresh_from_db()
    assert defect.state == "reported"


def test_answered_without_the_value_asked_for__stays(dock: Dock) -> None:
    [defect] = answered(dock, off(SETPOINT))
    answered(dock, answer_to(SETPOINT, "fine"))
    defect.refresh_from_db()
    assert defect.state == "reported"


def test_answer_from_before_it_was_found__ends_nothing(dock: Dock) -> None:
    before = dock.later()
    dock.later()
    [defect] = answered(dock, off(MODE))
    answered(dock, AS_ORDERED[MODE], at=before)
    defect.refresh_from_db()
    assert defect.state == "reported"


def test_found_before_it_was_put_right_and_sent_after__opens_nothing_anew(dock: Dock) -> None:
    before = dock.later()
    [defect] = answered(dock, off(MODE))
    answered(dock, AS_ORDERED[MODE])
    assert answered(dock, off(MODE), at=before) == [defect]
    assert Defect.objects.get().state == "closed"


def test_what_ended_it__is_on_record_with_who_and_the_value(dock: Dock) -> None:
    planned(dock)
    answered(dock, off(SETPOINT))
    answered(dock, AS_ORDERED[SETPOINT])
    certificate = Certificate.objects.get()
    assert certificate.signature.signer == dock["sol"]
    assert certificate.statement == f"Corrected on the spot by {dock['sol'].name}: -10 °F"


def test_fine_answer_elsewhere__ends_no_fault_that_the_shop_must_end(dock: Dock) -> None:
    [defect] = answered(dock, answer_to("cooling.alarms", "defect"))
    answered(dock, answer_to("cooling.alarms", "fine"))
    defect.refresh_from_db()
    assert (defect.state, defect.order_number is None) == ("reported", False)


def test_setpoint_as_ordered_is_compared_by_the_service__not_by_the_driver(dock: Dock) -> None:
    planned(dock)
    [defect] = answered(dock, answer_to(SETPOINT, "fine", value="-9.9", unit_of_measure="degF"))
    assert (defect.value, defect.limit_value, defect.bars) == (Decimal("-9.9"), Decimal(-10), "cold_freight")


def test_order_of_a_load_recorded_after_the_walk__judges_nothing_of_it(dock: Dock) -> None:
    before = dock.later()
    dock.later()
    planned(dock)
    assert answered(dock, answer_to(SETPOINT, "fine", value="34", unit_of_measure="degF"), at=before) == []


def test_figures_of_a_walk__stand_as_a_reading_of_the_unit(dock: Dock) -> None:
    CoolingReading.objects.all().delete()
    figures = {SETPOINT: "-10", RETURN_AIR: "-4.5", FUEL: "31.5"}
    checks = [
        answer_to(point, "fine", value=value, unit_of_measure="gal" if point == FUEL else "degF")
        for point, value in figures.items()
    ]
    answered(dock, *checks, answer_to("cooling.alarms", "defect", finding="note"))
    row = CoolingReading.objects.get()
    assert (row.setpoint_f, row.return_air_f, row.fuel_gal) == (Decimal(-10), Decimal("-4.5"), Decimal("31.5"))
    assert (row.source, row.alarms, row.recorded_by) == ("walk", ["note"], dock["sol"])
    assert row.walkaround_id is not None
    assert not row.is_learned
    learn_from_readings(now=dock.now)
    assert CoolingForecast.objects.get(unit=dock.cooling_unit).fuel_gal == Decimal("31.5")


def test_flagged_figure__is_no_reading(dock: Dock) -> None:
    CoolingReading.objects.all().delete()
    answered(dock, answer_to(RETURN_AIR, "fine", value="900", unit_of_measure="degF"))
    assert not CoolingReading.objects.exists()
