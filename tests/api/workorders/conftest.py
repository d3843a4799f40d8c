"""A shop with its people signed in, over one trailer with a brake out of adjustment and a turn lamp out."""

from dataclasses import dataclass

import pytest

from defects.models import Defect
from fleet.enums import Role, Scope
from fleet.models import Carrier, Person, Site, Unit
from tests.factories.fleet import make_bare_unit, make_person, make_site, qualify
from tests.factories.workorders import make_axle, make_defect, make_order, make_stroke_defect, task_of
from tests.support.acting import Device, acting_as
from workorders.models import RepairOrder, RepairTask


@dataclass
class Shop:
    """Who works there, signed in, and what stands in it."""

    site: Site
    unit: Unit
    people: dict[str, Person]
    stroke: Defect
    lamp: Defect
    order: RepairOrder

    def __getitem__(self, name: str) -> Device:
        return acting_as(self.people[name])

    @property
    def path(self) -> str:
        return f"repair-orders/{self.order.number}"

    def tag(self) -> str:
        self.order.refresh_from_db()
        return f'"{self.order.version}"'

    @property
    def brake_task(self) -> RepairTask:
        return task_of(self.stroke)

    @property
    def lamp_task(self) -> RepairTask:
        return task_of(self.lamp)


PEOPLE = {
    "Hob": ("Hob Anselm", Role.FOREMAN),
    "Greta": ("Greta Lind", Role.MECHANIC),
    "Sam": ("Sam Ruy", Role.MECHANIC),
    "Nell": ("Nell Park", Role.MECHANIC),
    "Iris": ("Iris Quade", Role.DRIVER),
    "Cal": ("Cal Wick", Role.DISPATCH),
    "Vera": ("Vera Holt", Role.COMPLIANCE),
    "Ann": ("Ann Over", Role.ADMINISTRATOR),
}


@pytest.fixture
def shop(carrier: Carrier) -> Shop:
    site = make_site("North Yard")
    unit = make_bare_unit("LR-46", home_site=site)
    make_axle(unit)
    people = {key: make_person(name, role) for key, (name, role) in PEOPLE.items()}
    for scope in (Scope.BRAKES_ADJUST, Scope.BRAKES_REPAIR):
        qualify(people["Greta"], scope)
    stroke = make_stroke_defect(unit, people["Iris"])
    lamp = make_defect(unit, people["Iris"])
    return Shop(site, unit, people, stroke, lamp, make_order(stroke, lamp))
