"""49 CFR 396.7, paragraph by paragraph, against what the service does over HTTP.

Source: 49 CFR 396.7(a) and (b) in the 2015 edition (read). What a paragraph asks is typed here in our own words beside
each check. The conditions that the carrier writes down beyond the rule (consent, distance, an end) are our own.
"""

from datetime import timedelta
from typing import Any

import pytest

from common import clock
from defects.models import Hold, LimitedMove
from tests.support.acting import acting_as
from tests.support.defects import held_stroke
from tests.support.ninefold import person

pytestmark = pytest.mark.usefixtures("ninefold")


def asked(**changes: Any) -> dict[str, Any]:
    now = clock.now()
    return {
        "unit": "LR-46",
        "found_on_highway": True,
        "found_at_place": "interstate, mile 112, shoulder",
        "to_place": "Crookspoke Road Tire, exit 114",
        "distance_mi": "2.1",
        "why_nearest": "the only shop before exit 131",
        "why_less_hazardous": "narrow shoulder at night, traffic close by",
        "driver": str(person("sol").pk),
        "driver_consented_at": now.isoformat(),
        "ends_at": (now + timedelta(hours=1)).isoformat(),
        **changes,
    }


def test_a_unsafe_vehicle_is_not_operated() -> None:
    """(a): a vehicle likely to cause a crash or a breakdown shall not be operated."""
    held_stroke()

    rows = acting_as("cal").get("yard", unit="LR-46").json()["results"]

    assert [row["answer"] for row in rows] == ["barred"]


def test_b_found_on_the_highway_it_may_go_on_to_the_nearest_safe_repair_place() -> None:
    """(b): only to the nearest place where repairs can safely be made, if that is less hazardous than staying."""
    held_stroke()

    answer = acting_as("hob").post("limited-moves", asked())

    assert answer.status_code == 201, answer.content
    move = LimitedMove.objects.get()
    assert (move.why_nearest, move.why_less_hazardous) == (
        "the only shop before exit 131",
        "narrow shoulder at night, traffic close by",
    )
    assert Hold.objects.get().lifted_at is None


@pytest.mark.parametrize("missing", ["why_nearest", "why_less_hazardous"])
def test_b_without_a_reason_for_either_condition__refused(missing: str) -> None:
    held_stroke()

    answer = acting_as("hob").post("limited-moves", asked(**{missing: ""}))

    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [f"/{missing}"]
    assert LimitedMove.objects.count() == 0


def test_b_not_found_on_the_highway__refused() -> None:
    """(b) speaks of a vehicle discovered to be unsafe while being operated on the highway, of no other."""
    held_stroke()

    answer = acting_as("hob").post("limited-moves", asked(found_on_highway=False))

    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/found_on_highway"]
    assert LimitedMove.objects.count() == 0
