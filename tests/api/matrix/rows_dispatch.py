"""How to fill the lists of what dispatch works with: so many rows more, each time it is called."""

from collections.abc import Callable
from datetime import timedelta
from itertools import count

from defects.models import Clearance, Load, LoadAtRisk, RiskEntry, RoadsideInspection, RoadsideViolation
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from tests.factories.fleet import NOON, make_person, make_unit
from tests.factories.workorders import make_defect

_numbers = count(1)


def _each(make: Callable[[], object]) -> Callable[[int], None]:
    def fill(rows: int) -> None:
        for _ in range(rows):
            make()

    return fill


def _person() -> Person:
    return Person.objects.filter(name="Cal Wick").first() or make_person("Cal Wick")


def _load(**fields: object) -> Load:
    given = {"temperature_class": "dry", "recorded_at": NOON, "recorded_by": _person(), **fields}
    return Load.objects.create(number=f"L-{next(_numbers)}", **given)


def _trailer() -> Unit:
    return make_unit(UnitKind.TRAILER)


def _load_at_risk() -> None:
    trailer, person = _trailer(), _person()
    load = _load(trailer=trailer, loaded_at=NOON)
    risk = LoadAtRisk.objects.create(
        trailer=trailer, load=load, defect=make_defect(trailer, person), opened_at=NOON, opened_by=person
    )
    for _ in range(2):
        RiskEntry.objects.create(risk=risk, kind="call", text="told", at=NOON, person=person, recorded_at=NOON)


def _roadside() -> None:
    trailer, person = _trailer(), _person()
    inspection = RoadsideInspection.objects.create(
        report_number=f"IA-{next(_numbers)}",
        inspected_at=NOON,
        officer="Trooper Finch",
        state="IA",
        level=1,
        is_clean=False,
        received_at=NOON,
        recorded_by=person,
        answer_due_on=NOON.date() + timedelta(days=15),
    )
    inspection.units.add(trailer)
    for position in (1, 2):
        RoadsideViolation.objects.create(
            inspection=inspection,
            position=position,
            unit=trailer,
            defect=make_defect(trailer, person),
            out_of_service=False,
        )


def _clearance() -> None:
    clearance = Clearance.objects.create(
        asked_by=_person(),
        asked_at=NOON,
        load=_load(),
        driver=_person(),
        departure=NOON,
        arrival=NOON,
        answer="nothing_known_against",
        reasons=[],
        unknown=[],
    )
    clearance.units.add(_trailer())


FILL: dict[str, Callable[[int], None]] = {
    "GET /clearances": _each(_clearance),
    "GET /loads": _each(lambda: _load(trailer=_trailer())),
    "GET /loads-at-risk": _each(_load_at_risk),
    "GET /roadside-inspections": _each(_roadside),
}
