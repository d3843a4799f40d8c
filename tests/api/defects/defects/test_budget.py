"""How many statements a move costs, from token to answer, and that a review costs the same however much it covers."""

from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from common.ids import uuid7
from defects.models import Defect, Hold
from defects.selectors.reviews import due_reviews
from tests.api.defects.defects.test_acting import MEASURED, certificate, signature, tag
from tests.support.acting import Device, acting_as
from tests.support.yard import Yard, hold_version_of, photo_on

NOT_COUNTED = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK")
POINTS = ("wheels.nuts-and-rims", "brakes.service.mounting", "brakes.hoses.wheel-end", "brakes.parking.caging-bolt")
PLACES = [f"axle-{axle}-{side}" for axle in (1, 2) for side in ("left", "right")]


def statements(caller: Device, path: str, body: dict[str, Any], *, if_match: str | None = None) -> int:
    with CaptureQueriesContext(connection) as captured:
        answer = caller.post(path, body, if_match=if_match)
    assert answer.status_code in {200, 201}, answer.content
    return len([row for row in captured if not row["sql"].startswith(NOT_COUNTED)])


def certified(yard: Yard, count: int) -> list[Defect]:
    """So many defects that drivers reported, repaired and certified, on reports of their own."""
    spots = [(point, place) for point in POINTS for place in PLACES][:count]
    found = [yard.finding(point, place) for point, place in spots]
    for defect in found:
        yard.certify(defect, photo=photo_on(defect))
    return found


def review(yard: Yard) -> dict[str, Any]:
    owed = due_reviews([yard.trailer.pk])[yard.trailer.pk]
    return {
        "id": str(uuid7()),
        "units": ["LR-46"],
        "reports": [str(report.pk) for report in owed.reports],
        "certificates": [str(document.pk) for document in owed.certificates],
        "signature": signature(),
    }


def test_certificate__within_its_budget(yard: Yard) -> None:
    defect = yard.stroke()
    path = f"defects/{defect.number}/certify"
    assert statements(acting_as("greta"), path, certificate(measured=MEASURED), if_match=tag(defect)) <= 44


def test_lift__within_its_budget(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke())
    hold = Hold.objects.get()
    path = f"holds/{hold.number}/lift"
    assert statements(acting_as("hob"), path, {"signature": signature()}, if_match=f'"{hold_version_of(hold)}"') <= 22


def test_review__within_its_budget_and_the_same_for_2_and_for_16_defects(yard: Yard) -> None:
    certified(yard, 2)
    few = statements(acting_as("sol"), "driver-reviews", review(yard))
    certified(yard, 16)
    assert statements(acting_as("sol"), "driver-reviews", review(yard)) == few
    assert few <= 18
