"""The yard with its trailer in the shop: a brake out of adjustment and a turn lamp out, on one order."""

from dataclasses import dataclass

import pytest

from defects.models import Defect
from fleet.enums import Scope
from fleet.models import Site
from tests.factories.fleet import make_site, qualify
from tests.factories.workorders import make_defect, make_order, make_stroke_defect, task_of
from tests.support.yard import Yard
from workorders.models import RepairOrder, RepairTask


@dataclass(kw_only=True)
class Shop(Yard):
    """The yard, and what stands in its shop."""

    site: Site
    brake: Defect
    lamp: Defect
    order: RepairOrder

    @property
    def path(self) -> str:
        return f"repair-orders/{self.order.number}"

    def tag(self) -> str:
        self.order.refresh_from_db()
        return f'"{self.order.version}"'

    @property
    def brake_task(self) -> RepairTask:
        return task_of(self.brake)

    @property
    def lamp_task(self) -> RepairTask:
        return task_of(self.lamp)


@pytest.fixture
def shop(yard: Yard) -> Shop:
    yard.trailer.home_site = make_site("North Yard")
    yard.trailer.save()
    qualify(yard["greta"], Scope.BRAKES_ADJUST)
    stroke, lamp = make_stroke_defect(yard.trailer, yard["iris"]), make_defect(yard.trailer, yard["iris"])
    order = make_order(stroke, lamp)
    return Shop(**vars(yard), site=yard.trailer.home_site, brake=stroke, lamp=lamp, order=order)
