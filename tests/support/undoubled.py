"""Whether what the phones of `tests.support.phones` reported stands in the database once, and nothing twice."""

from collections import Counter
from collections.abc import Iterable
from typing import Any

from defects.enums import OPEN_DEFECT_STATES, SightingHow
from defects.models import Defect, Hold, Sighting
from fleet.models import CouplingMember
from workorders.enums import ACTIVE_ORDER_STATES
from workorders.models import RepairOrder, RepairTask


def nothing_doubled() -> None:
    """One open defect for one fault, with one hold, one task and one order that stand; no unit in two places."""
    found = Defect.objects.filter(state__in=OPEN_DEFECT_STATES)
    places = found.values_list("unit", "point", "place")
    assert set(places) == {(trailer, "tires.trailer.body", place) for trailer, _, place in places}
    assert most(places) == 1
    assert Sighting.objects.filter(how=SightingHow.NEW).count() == found.count() > 0
    assert sorted(Hold.objects.filter(lifted_at=None).values_list("defect", flat=True)) == sorted(
        found.values_list("pk", flat=True)
    )
    assert sorted(RepairTask.objects.values_list("defect", flat=True)) == sorted(found.values_list("pk", flat=True))
    assert most(RepairOrder.objects.filter(state__in=ACTIVE_ORDER_STATES).values_list("unit", flat=True)) == 1
    assert most(CouplingMember.objects.filter(span__upper_inf=True).values_list("unit", flat=True)) == 1


def most(found: Iterable[Any]) -> int:
    """How often the commonest of them is there."""
    return max(Counter(found).values())
