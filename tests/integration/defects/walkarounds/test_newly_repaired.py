"""Where a fault was repaired lately, a signature over the leg is no answer: the next drivers look at that place."""

import datetime as dt

import pytest

from defects.enums import DefectState
from defects.models import Defect
from fixtures.scenario.walking import places_of
from tests.support.walks import hand_in_as, walk_list_of, whole
from tests.support.yard import Yard, photo_on

SKIRTS, PLACE = "body.side-skirts", "left"
DAY = dt.timedelta(days=1)


def repaired(yard: Yard) -> Defect:
    defect = yard.finding(SKIRTS, PLACE)
    yard.certify(defect, "sam", photo=photo_on(defect))
    return defect


def left_to_answer(yard: Yard) -> list[tuple[str, str]]:
    """What has no answer where the driver signed for every leg and answered the rest, but not where it was repaired.

    The list says the same of that place as the receipt.
    """
    listed = walk_list_of([yard.trailer], yard["sol"], now=yard.later())
    walk = whole(listed, yard.now)
    for report in walk["reports"]:
        report["checks"] = [check for check in report["checks"] if check["point"] != SKIRTS]
    (report,) = hand_in_as(yard["sol"], walk, now=yard.now).reports
    left = [(row["point"], row["place"]) for row in report.without_answer]
    by = {place["place"]: place["answered_by"] for point, place in places_of(listed) if point["point"] == SKIRTS}
    assert (by[PLACE] == "one_by_one") == bool(left)
    return left


def test_certified_and_its_review_due__one_by_one_however_long_ago(yard: Yard) -> None:
    repaired(yard)
    yard.later(30 * DAY)

    assert left_to_answer(yard) == [(SKIRTS, PLACE)]


@pytest.mark.parametrize(("days", "left"), [(6, [(SKIRTS, PLACE)]), (8, [])])
def test_reviewed__one_by_one_for_a_week_after_the_certificate(
    yard: Yard, days: int, left: list[tuple[str, str]]
) -> None:
    defect = repaired(yard)
    yard.review()
    defect.refresh_from_db()
    assert defect.state == DefectState.CLOSED
    yard.later(days * DAY)

    assert left_to_answer(yard) == left


def test_put_off__one_by_one(yard: Yard) -> None:
    defect = yard.finding(SKIRTS, PLACE)
    yard.dismiss(defect, "sam", photo=photo_on(defect))

    assert left_to_answer(yard) == [(SKIRTS, PLACE)]
