"""A document tells by when its return is filed and until when it is kept; the expiry list the first of these."""

import datetime as dt

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import Document
from tests.factories.fleet import make_document, make_person, make_unit
from tests.support.acting import acting_as


@pytest.mark.usefixtures("carrier")
@pytest.mark.parametrize(
    ("first_used", "by"),
    [("2025-07-01", "2025-09-02"), ("2025-10-31", "2025-12-01"), ("2025-11-01", "2025-12-31")],
)
def test_use_tax__filed_by_the_end_of_the_month_after_first_use(first_used: str, by: str) -> None:
    """31 August 2025 is a Sunday before Labor Day, 30 November a Sunday."""
    tractor = make_unit(UnitKind.TRACTOR)
    document = make_document(
        tractor, kind="heavy_vehicle_use_tax", starts_on=dt.date.fromisoformat(first_used), ends_on=None
    )
    vera = acting_as(Role.COMPLIANCE)
    body = vera.get(f"documents/{document.pk}").json()
    assert (body["file_by"], body["retained_until"]) == (by, "2029-06-30")
    (row,) = vera.get(f"expiries?kind=heavy_vehicle_use_tax&unit={tractor.number}").json()["results"]
    assert row["file_by"] == by


@pytest.mark.usefixtures("carrier")
def test_keep_until__by_the_kind_and_no_shorter_than_the_units_file() -> None:
    trailer = make_unit(UnitKind.TRAILER)
    inspection = make_document(trailer, kind="periodic_inspection", starts_on=dt.date(2026, 2, 10), ends_on=None)
    registration = make_document(trailer, starts_on=dt.date(2025, 1, 1), ends_on=dt.date(2026, 6, 30))
    vera = acting_as(Role.COMPLIANCE)
    days = {row.kind: vera.get(f"documents/{row.pk}").json()["retained_until"] for row in (inspection, registration)}
    assert days == {"periodic_inspection": "2027-04-10", "registration": "2027-06-30"}
    assert vera.get(f"documents/{registration.pk}").json()["file_by"] is None


@pytest.mark.usefixtures("carrier")
def test_keep_until__of_what_is_kept_for_a_persons_work_has_no_end_before_the_work_ends() -> None:
    person = make_person("Nell Park")
    card: Document = make_document(kind="refrigerant_card", person=person, starts_on=dt.date(2026, 1, 5), ends_on=None)
    assert acting_as(Role.COMPLIANCE).get(f"documents/{card.pk}").json()["retained_until"] is None
