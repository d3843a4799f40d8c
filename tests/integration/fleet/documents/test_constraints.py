"""What the database itself refuses of documents, whoever writes them."""

import datetime as dt
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from fleet.enums import Role
from fleet.models import Document
from tests.factories.fleet import NOON, TODAY, DocumentFactory, make_carrier, make_person, make_unit

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def carrier() -> None:
    make_carrier()


def insert(**facts: Any) -> Document:
    person = make_person("Vera Holt", Role.COMPLIANCE)
    with transaction.atomic():
        return DocumentFactory.create(recorded_by=person, **facts)


def test_end_before_its_beginning__is_refused_and_the_same_day_is_not() -> None:
    unit = make_unit()
    with pytest.raises(IntegrityError, match="document_ends_after_start"):
        insert(kind="registration", unit=unit, starts_on=TODAY, ends_on=TODAY - DAY)
    assert insert(kind="registration", unit=unit, starts_on=TODAY, ends_on=TODAY).ends_on == TODAY


@pytest.mark.parametrize("subject", ["unit", "person", "carrier"])
def test_second_current_document_of_a_kind__is_refused_until_the_first_is_superseded(subject: str) -> None:
    subjects: dict[str, dict[str, Any]] = {
        "unit": {"unit": make_unit()},
        "person": {"person": make_person("Ada Brisk", Role.DRIVER)},
        "carrier": {},
    }
    whose = subjects[subject]
    first = insert(kind="insurance", **whose)
    with pytest.raises(IntegrityError, match="document_one_current"):
        insert(kind="insurance", **whose)
    insert(kind="insurance", us_state="OR", **whose)
    Document.objects.filter(pk=first.pk).update(superseded_at=NOON)
    insert(kind="insurance", **whose)
    assert Document.objects.filter(kind="insurance").count() == 3


def test_document_of_a_unit_and_of_a_person_at_once__is_refused() -> None:
    with pytest.raises(IntegrityError, match="document_one_subject"):
        insert(kind="lease", unit=make_unit(), person=make_person("Ada Brisk", Role.DRIVER))
