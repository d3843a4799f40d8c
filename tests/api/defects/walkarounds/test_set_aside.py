"""Setting a report aside: signed, once, by whoever may; answers are given without it, and nothing else becomes less."""

from typing import Any

import pytest

from defects.models import Hold, Report, SetAside
from defects.selectors.clearance.looks import looks_of
from fleet.models import HistoryEntry
from tests.support.acting import acting_as
from tests.support.submissions import answer_to
from tests.support.yard import Yard


def signed(yard: Yard, **more: Any) -> dict[str, Any]:
    signature = {"method": "typed", "signed_at": yard.now.isoformat(), "shown": "I set this report aside."}
    return {"reason": "its legs have a word of another time", "signature": signature, **more}


def set_aside(yard: Yard, report: Report, by: str = "hob") -> Any:
    return acting_as(by).post(f"reports/{report.pk}/set-aside", signed(yard))


def reasons() -> set[str]:
    answer = acting_as("cal").get("yard", unit="LR-46")
    assert answer.status_code == 200, answer.content
    return {reason["code"] for reason in answer.json()["results"][0]["reasons"] if reason["unit"] == "LR-46"}


@pytest.fixture
def unreadable(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> Report:
    """A walk whose looks cannot be read."""
    yard.stroke()
    report = Report.objects.get(unit=yard.trailer)

    def trip(kind: str, rows: Any, *more: Any) -> Any:
        if rows:
            raise KeyError("why")
        return looks_of(kind, rows, *more)

    monkeypatch.setattr("defects.selectors.clearance.units.looks_of", trip)
    return report


def test_unreadable_report__bars_until_it_is_set_aside(yard: Yard, unreadable: Report) -> None:
    assert "record_unreadable" in reasons()

    answer = set_aside(yard, unreadable)

    assert answer.status_code == 201, answer.content
    assert answer.json()["report"] == str(unreadable.pk)
    now = reasons()
    assert "record_unreadable" not in now
    assert {"carrier_hold", "defect_not_certified", "review_not_signed", "walk_due"} <= now
    assert Hold.objects.filter(lifted_at=None).count() == 1
    row = SetAside.objects.get()
    assert (row.signature.signer, row.signature.purpose) == (yard["hob"], "set_aside")
    entry = HistoryEntry.objects.get(unit=yard.trailer, kind="report_set_aside")
    assert (entry.subject, entry.actor) == (unreadable.pk, yard["hob"])


def test_again__refused(yard: Yard, unreadable: Report) -> None:
    assert set_aside(yard, unreadable).status_code == 201
    again = set_aside(yard, unreadable)
    assert (again.status_code, again.json()["code"]) == (409, "set_aside_already")
    assert SetAside.objects.count() == 1


@pytest.mark.parametrize("by", ["iris", "cal", "greta"])
def test_by_whoever_may_not__refused(yard: Yard, unreadable: Report, by: str) -> None:
    assert set_aside(yard, unreadable, by).status_code == 403
    assert not SetAside.objects.exists()


def test_readable_report__stays(yard: Yard) -> None:
    yard.stroke()
    answer = set_aside(yard, Report.objects.get(unit=yard.trailer))
    assert (answer.status_code, answer.json()["code"]) == (409, "report_readable")
    assert not SetAside.objects.exists()


def test_report_with_a_flag__is_set_aside_and_an_older_walk_takes_its_place_in_nothing(yard: Yard) -> None:
    yard.walk("iris", checks=[])
    yard.walk("iris", checks=[answer_to("no.such.point", "fine")])
    report = Report.objects.filter(unit=yard.trailer).latest("performed_at")

    assert "walk_due" not in reasons()
    assert set_aside(yard, report).status_code == 201
    assert "walk_due" in reasons()
