"""How to make the rows that operations of defects name and list."""

from collections.abc import Callable

from fleet.enums import UnitKind
from fleet.models import Person
from tests.api.matrix.rows_fleet import each
from tests.factories.defects import (
    ClearanceFactory,
    DefectFactory,
    DriverReviewFactory,
    LoadAtRiskFactory,
    LoadFactory,
    RefusalFactory,
    RiskEntryFactory,
    RoadsideInspectionFactory,
    RoadsideViolationFactory,
    WalkaroundFactory,
)
from tests.factories.fleet import NOON, TODAY, make_unit

ROW_OF: dict[str, Callable[[Person], str]] = {
    "GET /driver-reviews/{key}": lambda person: str(DriverReviewFactory.create(person=person).signature_id),
    "GET /refusals/{key}": lambda person: str(RefusalFactory.create(person=person).pk),
    "GET /walkarounds/{key}": lambda person: str(WalkaroundFactory.create(person=person).pk),
}


def _load_at_risk() -> None:
    trailer = make_unit(UnitKind.TRAILER)
    load = LoadFactory.create(trailer=trailer, loaded_at=NOON)
    risk = LoadAtRiskFactory.create(trailer=trailer, load=load, defect=DefectFactory.create(unit=trailer))
    RiskEntryFactory.create_batch(2, risk=risk, kind="call", text="told")


def _roadside() -> None:
    inspection = RoadsideInspectionFactory.create(is_clean=False, answer_due_on=TODAY)
    for position in (1, 2):
        row = RoadsideViolationFactory.create(inspection=inspection, position=position)
        inspection.units.add(row.unit)


def _clearance() -> None:
    clearance = ClearanceFactory.create(load=LoadFactory.create())
    clearance.units.add(make_unit(UnitKind.TRAILER))


FILL: dict[str, Callable[[int], None]] = {
    "GET /clearances": each(_clearance),
    "GET /loads": each(lambda: LoadFactory.create(trailer=make_unit(UnitKind.TRAILER))),
    "GET /loads-at-risk": each(_load_at_risk),
    "GET /roadside-inspections": each(_roadside),
}
