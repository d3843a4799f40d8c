"""Scans of replaced documents past their days: which go, which stay, and what is on record of them."""

import datetime as dt
from pathlib import Path

import pytest
from pytest_django import Settings

from fleet.enums import Role
from fleet.models import Deletion, Document, FileRemoval, Person, Unit
from fleet.services.documents.files import store_file
from fleet.services.records.purging.job import due_records, purge_records
from tests.factories.fleet import DocumentFactory, make_carrier, make_legal_hold, make_person, make_unit
from tests.support.stored_files import path_of

pytestmark = pytest.mark.django_db

RECORDED = dt.datetime(2018, 7, 1, 18, tzinfo=dt.UTC)
REPLACED = dt.datetime(2019, 6, 20, 18, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    make_carrier()


def replaced_document(
    kind: str, *, unit: Unit | None = None, person: Person | None = None, **facts: object
) -> Document:
    scan = store_file(
        content=f"%PDF-1.7 {kind}".encode(),
        declared=None,
        allowed=frozenset({"application/pdf"}),
        expected_sha256=None,
        now=RECORDED,
    )
    columns = {"recorded_at": RECORDED, "superseded_at": REPLACED, "recorded_by": make_person("Vera Holt"), **facts}
    return DocumentFactory.create(kind=kind, unit=unit, person=person, file=scan, **columns)


def goes_after(document: Document, last_day: dt.date) -> bool:
    """Whether the scan is there through that day and gone with the job of the next."""
    noon = dt.datetime.combine(last_day, dt.time(18), dt.UTC)
    purge_records(now=noon)
    there = path_of(str(document.file_id)).exists()
    purge_records(now=noon + dt.timedelta(days=1))
    return there and not path_of(str(document.file_id)).exists()


def test_registration__a_year_from_its_end_by_our_own_default() -> None:
    unit = make_unit(number="NL-11")
    document = replaced_document("registration", unit=unit, ends_on=dt.date(2019, 6, 30))

    assert goes_after(document, dt.date(2020, 6, 30))

    row = Deletion.objects.get(what="scan")
    assert (row.record, row.unit, row.unit_name, row.record_kind) == (document.pk, unit, "NL-11", "superseded_document")
    assert (row.retained_until, row.content_hash) == (dt.date(2020, 6, 30), document.file_id)
    document.refresh_from_db()
    assert document.file_id == row.content_hash
    assert FileRemoval.objects.get().done_at is not None
    assert list(due_records(now=dt.datetime(2024, 1, 1, tzinfo=dt.UTC))) == []


def test_replaced_after_its_end__counted_from_then() -> None:
    document = replaced_document("registration", unit=make_unit(), ends_on=dt.date(2019, 5, 31))
    assert goes_after(document, dt.date(2020, 6, 20))


def test_periodic_inspection__fourteen_months_from_the_report() -> None:
    """49 CFR 396.21(b)(1)."""
    document = replaced_document(
        "periodic_inspection",
        unit=make_unit(),
        starts_on=dt.date(2018, 6, 28),
        issued_on=dt.date(2018, 6, 29),
        ends_on=dt.date(2019, 6, 27),
    )
    assert goes_after(document, dt.date(2019, 8, 29))


def test_unit_that_left__six_months_after_that() -> None:
    unit = make_unit()
    document = replaced_document("registration", unit=unit, ends_on=dt.date(2019, 6, 30))
    Unit.objects.filter(pk=unit.pk).update(retired_on=dt.date(2020, 2, 29))
    assert goes_after(document, dt.date(2020, 8, 29))


def test_evidence_of_an_inspector__while_the_person_works_here_and_a_year_after() -> None:
    """49 CFR 396.19(b)."""
    person = make_person("Abe Inspect", Role.MECHANIC)
    document = replaced_document("periodic_inspector_evidence", person=person)
    purge_records(now=dt.datetime(2024, 1, 1, tzinfo=dt.UTC))
    assert path_of(str(document.file_id)).exists()

    person.left_on = dt.date(2022, 3, 31)
    person.save(update_fields=["left_on"])

    assert goes_after(document, dt.date(2023, 3, 31))


@pytest.mark.parametrize("why", ["current", "frozen", "shared"])
def test_current_frozen_or_still_named_by_another__stays(why: str) -> None:
    unit = make_unit()
    document = replaced_document("registration", unit=unit, ends_on=dt.date(2019, 6, 30))
    if why == "current":
        Document.objects.filter(pk=document.pk).update(superseded_at=None)
    elif why == "frozen":
        make_legal_hold(unit)
    else:
        replaced_document("registration", unit=make_unit(), ends_on=dt.date(2019, 6, 30), superseded_at=None)

    purge_records(now=dt.datetime(2024, 1, 1, tzinfo=dt.UTC))

    assert path_of(str(document.file_id)).exists()
    assert Deletion.objects.filter(what="scan").exists() is (why == "shared")
