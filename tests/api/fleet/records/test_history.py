"""The history of a unit over HTTP: readable, linked, and whole even where its words are gone."""

import pytest
from django.db import connection

from fleet.enums import Role, UnitKind
from fleet.models import HistoryEntry
from tests.factories.fleet import make_carrier, make_deletion, make_document, make_person, make_reading, make_unit
from tests.support.acting import Device, acting_as

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Device:
    make_carrier()
    return acting_as(Role.AUDITOR)


def test_entries__say_what_happened_newest_first(office: Device) -> None:
    unit = make_unit(UnitKind.TRAILER, "LR-41")
    make_reading(unit, "1234.5")
    make_document(unit)
    told = office.get("units/LR-41/history").json()["results"]
    assert [(row["sequence"], row["kind"], row["text"]) for row in told] == [
        (3, "document_recorded", "A document was recorded: registration, to Tue 30 Jun 2026."),
        (2, "meter_read", "A meter was read, odometer, miles: 1234.5, 1234.5 in all."),
        (1, "unit_added", "The unit was added."),
    ]
    assert told[1]["content"] == {"meter": "odometer_mi", "shown": "1234.5", "total": "1234.5"}
    assert told[0]["actor"]["name"] == "Vera Holt"
    entry = HistoryEntry.objects.get(unit=unit, sequence=3)
    assert told[0]["entry_hash"] == bytes(entry.entry_hash).hex()


def test_entries__are_cut_down_by_kind_and_time(office: Device) -> None:
    unit = make_unit(number="NL-11")
    make_reading(unit)
    assert len(office.get("units/NL-11/history", kind="meter_read").json()["results"]) == 1
    assert office.get("units/NL-11/history", kind="passport").status_code == 400
    assert len(office.get("units/NL-11/history", since="2026-03-05T00:00:00Z").json()["results"]) == 1
    assert len(office.get("units/NL-11/history", until="2026-03-05T00:00:00Z").json()["results"]) == 1


def test_entry_whose_words_are_gone__says_by_which_rule_and_keeps_its_hash(office: Device) -> None:
    unit = make_unit(number="NL-11")
    entry = unit.history.get()
    make_deletion(
        unit, what="history_content", record=entry.pk, entry=entry, content_hash=bytes(entry.content_hash).hex()
    )
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM fleet_historycontent WHERE entry_id = %s", [entry.pk])
    (told,) = office.get("units/NL-11/history").json()["results"]
    assert (told["content"], told["sequence"], told["kind"]) == (None, 1, "unit_added")
    assert told["text"] == (
        "Kept until Sun 1 Feb 2026 (3 months from the day the written report was prepared, 49 "
        "CFR 396.11(a)(4)), purged Fri 6 Mar 2026. Its hash remains."
    )
    assert told["deletion"] == {
        "deleted_at": "2026-03-06T18:00:00Z",
        "retained_until": "2026-02-01",
        "rule": "3 months from the day the written report was prepared",
        "source": "49 CFR 396.11(a)(4)",
        "content_hash": bytes(entry.content_hash).hex(),
    }


def test_unknown_unit__is_not_found(office: Device) -> None:
    assert office.get("units/NL-99/history").json()["code"] == "unit_unknown"


def test_entries__are_in_the_readers_language() -> None:
    make_carrier()
    make_unit(number="NL-11")
    reader = acting_as(make_person("Wen Castel", Role.AUDITOR, language="es"))
    (told,) = reader.get("units/NL-11/history").json()["results"]
    assert told["text"] == "Se añadió la unidad."
