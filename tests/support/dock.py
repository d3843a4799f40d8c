"""A combination ready to roll with everybody who sends it on its way: what dispatch asks, and what stands against it.

The yard of `tests.support.yard` with documents, walks, a cooling unit and a coupling added. Nothing stands
against it until a test does something.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from common.ids import uuid7
from defects.enums import WalkaroundKind
from defects.models import Clearance, Load, LoadAtRisk, RoadsideInspection
from defects.rules.walkarounds.body import CheckBody
from defects.selectors.clearance.snapshot import TripRequest
from defects.selectors.clearance.trips import Trip
from defects.selectors.walkarounds.receipts import Receipt
from defects.services.clearance.clearances import request_clearance
from defects.services.loads.loading import put_into_trailer
from defects.services.loads.loads import record_load
from defects.services.roadside.record import record_roadside_inspection
from defects.services.roadside.report import OfficersReport, Violation
from defects.services.walkarounds.intake import submit_walkaround
from fleet.enums import Scope, UnitKind
from fleet.models import Unit
from fleet.selectors.units.combinations import units_of_trip
from tests.factories.fleet import HOUR, make_coupling, make_document, make_mounting, make_unit, qualify
from tests.support.submissions import answer_to, report_on, submission
from tests.support.walks import check, hand_in_as, walk_list_of, whole
from tests.support.yard import BRAKE_AXLE, Yard, make_yard

ALARM = "cooling.alarms"
FUEL = "cooling.fuel.level"
STROKE = "brakes.service.pushrod-stroke"
LAMP = "lamps.trailer.turn"
DRIVERS_DOCUMENTS = ("commercial_driver_licence", "medical_certificate")
ROLES = ("steer", "drive", "drive")


@dataclass(kw_only=True)
class Dock(Yard):
    """The yard with NL-13, LR-46 and CU-46 ready to roll: one combination, walked an hour ago by Sol."""

    cooling_unit: Unit

    @property
    def units(self) -> tuple[Unit, Unit, Unit]:
        return self.tractor, self.trailer, self.cooling_unit

    def ask(
        self,
        *refs: str,
        hours: float = 10,
        by: str = "cal",
        at: dt.datetime | None = None,
        departure: dt.datetime | None = None,
        miles: int | None = None,
        driver: str = "",
        load: str = "",
        us_states: Sequence[str] = (),
    ) -> Clearance:
        """Ask for the combination, or for other units, leaving now for a trip of so many hours."""
        now = at or self.now
        leaves = departure or now
        trip = Trip(
            units=units_of_trip(refs or ("NL-13", "LR-46"), at=now),
            departure=leaves,
            arrival=leaves + dt.timedelta(hours=hours),
            miles=None if miles is None else Decimal(miles),
            us_states=us_states,
            requested=TripRequest(self[driver].pk if driver else None, load),
        )
        return request_clearance(trip=trip, actor=self[by], now=now).clearance

    def hand_in(
        self,
        *reports: tuple[Unit, list[CheckBody]],
        by: str = "sol",
        kind: str = "pre_trip",
        coupled: bool | None = None,
    ) -> Receipt:
        """Hand in one walk-around of several units, now."""
        finished = self.later()
        units = [report_on(str(unit), checks) for unit, checks in reports]
        given = submission(finished, kind=WalkaroundKind(kind), coupled=coupled, reports=units)
        return submit_walkaround(walkaround_id=uuid7(), submission=given, actor=self[by], now=self.now)

    def walk_these(self, units: Sequence[Unit], by: str = "sol", *, form: str = "daily", **more: Any) -> Receipt:
        """Hand in a whole walk-around of these units alone, now."""
        listed = walk_list_of(units, self[by], now=self.now, form=form)
        return hand_in_as(self[by], {**whole(listed, self.later()), **more}, now=self.now)

    def walk_all(
        self,
        by: str = "sol",
        fuel: str = "45",
        *,
        form: str = "daily",
        found: Mapping[str, Sequence[dict[str, Any]]] | None = None,
    ) -> Receipt:
        """Hand in a whole walk-around of the combination, now: every leg signed for, everything else answered."""
        listed = walk_list_of([self.tractor, self.trailer], self[by], now=self.now, form=form)
        answers = {str(self.cooling_unit): [check(FUEL, value=fuel, unit_of_measure="gal")], **(found or {})}
        walk = whole(listed, self.later(), answers)
        return hand_in_as(self[by], walk, now=self.now)

    def load(self, number: str = "L-1", temperature_class: str = "frozen", **facts: Any) -> Load:
        """A load as dispatch records it."""
        if temperature_class != "dry":
            facts.setdefault("setpoint_f", Decimal(-10))
        given = {"number": number, "temperature_class": temperature_class, **facts}
        return record_load(facts=given, actor=self["cal"], now=self.now)

    def put(self, load: Load, trailer: Unit | None = None, at: dt.datetime | None = None, by: str = "cal") -> Load:
        return put_into_trailer(
            load_id=load.pk, trailer=trailer or self.trailer, loaded_at=at or self.now, actor=self[by], now=self.now
        )

    def cold_fault(self, by: str = "sol", point: str = ALARM) -> Receipt:
        """The cooling unit's alarm, found on the road."""
        return self.hand_in((self.cooling_unit, [answer_to(point, "defect")]), by=by, kind="en_route")

    def at_risk(self) -> LoadAtRisk:
        """A frozen load in the trailer, and the fault that puts it at risk."""
        self.put(self.load())
        self.later()
        self.cold_fault()
        return LoadAtRisk.objects.get()

    def inspected(self, *violations: Violation, number: str = "IA-1", **given: Any) -> RoadsideInspection:
        """What an officer found, recorded by Sol on the road."""
        report = OfficersReport(
            report_number=number,
            inspected_at=given.pop("inspected_at", self.now),
            officer="Trooper Finch",
            us_state="IA",
            level=1,
            units=given.pop("units", (self.tractor, self.trailer)),
            violations=violations,
        )
        actor = self[given.pop("by", "sol")]
        return record_roadside_inspection(report=report, actor=actor, now=given.pop("now", self.now))

    def brake(self, place: str, value: str = "2.5", *, unit: Unit | None = None, **given: Any) -> Violation:
        """A brake out of adjustment, out of service unless told otherwise."""
        return Violation(
            unit=unit or self.trailer,
            out_of_service=given.pop("out_of_service", True),
            point=STROKE,
            place=place,
            section="393.47(e)",
            value=Decimal(value),
            unit_of_measure="in",
        )


def fuel_check(gallons: str) -> CheckBody:
    return answer_to(FUEL, "fine", value=gallons, unit_of_measure="gal")


def codes(clearance: Clearance) -> list[str]:
    """The codes of an answer's reasons, bars first."""
    return [row["code"] for row in clearance.reasons]


def unknowns(clearance: Clearance) -> list[str]:
    """The codes of everything unknown; none of it bars."""
    return [row["code"] for row in clearance.unknown]


def left_rows(clearance: Clearance) -> list[dict[str, Any]]:
    """Everything that an answer leaves open, but the full walk: nobody did one at the dock."""
    return [row for row in clearance.left_open if row["code"] != "full_walk_due"]


def left_open(clearance: Clearance) -> list[str]:
    """The codes of these."""
    return [row["code"] for row in left_rows(clearance)]


def reason(clearance: Clearance, code: str) -> dict[str, Any]:
    """The one reason of a code."""
    (found,) = [row for row in clearance.reasons if row["code"] == code]
    return dict(found)


def papers(unit: Unit) -> None:
    """A registration to the end of June, and an inspection of last December."""
    make_document(unit)
    make_document(unit, kind="periodic_inspection", starts_on=dt.date(2025, 12, 1), ends_on=None)


def make_tractor(number: str = "NL-13") -> Unit:
    """Three axles with six service brakes."""
    axles = [{**BRAKE_AXLE, "number": place, "role": role} for place, role in enumerate(ROLES, 1)]
    return make_unit(UnitKind.TRACTOR, number, axles=axles)


def make_cooling_unit(number: str = "CU-46") -> Unit:
    """Fifty gallons, two of which cannot be used, and half a gallon an hour."""
    details = {"tank_gal": Decimal(50), "unusable_gal": Decimal(2), "burn_gal_per_h": Decimal("0.5")}
    return make_unit(UnitKind.COOLING_UNIT, number, details=details)


def make_dock() -> Dock:
    """Everything in order, as of an hour past noon."""
    yard = make_yard()
    dock = Dock(tractor=make_tractor(), trailer=yard.trailer, people=yard.people, cooling_unit=make_cooling_unit())
    make_mounting(dock.trailer, dock.cooling_unit)
    make_coupling(dock.tractor, dock.trailer)
    for unit in (dock.tractor, dock.trailer):
        papers(unit)
    for kind in DRIVERS_DOCUMENTS:
        for name in ("sol", "iris"):
            make_document(kind=kind, person=dock[name])
    qualify(dock["vera"], Scope.FOOD_DISPOSITION)
    dock.walk_all()
    dock.later(HOUR)
    return dock
