"""What was given out, taken in by an empty installation, is given out again, byte for byte."""

import datetime as dt
from collections.abc import Iterator

import pytest
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from fleet.api.imports.on_record import on_record
from fleet.enums import ImportMode, MeterKind, Role, RowOutcome, UnitKind
from fleet.models import Carrier, Document, Person, Site, Unit
from fleet.services.documents.documents import record_document, replace_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.imports.run import Table
from fleet.services.people.roles import grant_role
from fleet.services.units.mountings import mount
from tests.factories.fleet import NOON, TODAY, make_carrier, make_document, make_person, make_reading, make_unit
from tests.support.committing import committing
from tests.support.tables import outcomes, records, take_in

ORDER = (
    Table.PEOPLE,
    Table.UNITS,
    Table.AXLES,
    Table.DOCUMENTS,
    Table.METER_READINGS,
    Table.COOLING_READINGS,
    Table.ROLES,
    Table.MOUNTINGS,
)
"""Each after what it names."""

LEFT_OUT = {
    "keys and versions": "they are the installation's own",
    "when and by whom a row was recorded": "the import records it now, by whoever imports",
    "replaced papers, retired units, people who left, readings set aside": "they no longer stand",
    "sites and the carrier": "they are set up first; the codes of sites must be there",
    "first days of roles in force": "a role that is taken in begins on that day",
}


@pytest.fixture
def given_out(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[dict[Table, bytes]]:
    """The standing records of an installation that has something of everything."""
    with committing(django_db_blocker, database_server, migrated_template):
        fill()
        yield {table: b"".join(on_record(table, TODAY)) for table in ORDER}


@pytest.fixture
def elsewhere(
    given_out: dict[Table, bytes], django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[None]:
    """An empty installation with the same carrier and sites."""
    with committing(django_db_blocker, database_server, migrated_template):
        make_carrier()
        Site.objects.create(code="north-yard", name="North Yard", time_zone="America/Chicago")
        yield


def fill() -> None:
    """Texts that a spreadsheet would run, line ends, leading zeros, accents, and every kind of record and document."""
    make_carrier()
    site = Site.objects.create(code="north-yard", name="North Yard", time_zone="America/Chicago")
    vera = make_person("Vera Holt", Role.COMPLIANCE, Role.ADMINISTRATOR, username="vera", home_site=site)
    rita = make_person('Rita "Sand", junior', firm="=Crookspoke", phone="+1 555 0100", title="tire hand, nights")
    make_person("Iñés Quade", username="ines", language="es", email="ines@example.org")
    axles = [
        {"number": 1, "role": "steer", "dual": False, "brake_type": "disc", "target_psi": 110, "max_psi": 120},
        {
            "number": 2,
            "role": "drive",
            "dual": True,
            "brake_type": "drum",
            "chamber_type": "30",
            "tire_size": "11 R22.5",
        },
    ]
    tractor = make_unit(
        number="11", plate="0012", make="@risk", vin="BZTTKAA33PA016011", home_site_id=site.pk, axles=axles
    )
    trailer = make_unit(UnitKind.TRAILER, "LR-41", details={"length_ft": 53}, in_control_since=dt.date(2024, 2, 29))
    cooling = make_unit(UnitKind.COOLING_UNIT, "CU-41", model_year=2021, serial="000-1")
    mount(trailer_id=trailer.pk, cooling_unit_id=cooling.pk, started_at=NOON, actor=vera, now=NOON)
    grant_role(
        person_id=rita.pk,
        role=Role.MECHANIC,
        site_id=site.pk,
        starts_on=TODAY + dt.timedelta(days=1),
        ends_on=TODAY + dt.timedelta(days=9),
        actor=vera,
        now=NOON,
    )
    others = make_unit(UnitKind.TRAILER, "QX-9003", owner="Gravelspoon Foods, Ltd.", plate="'=x")
    old = make_document(tractor, number="0001")
    replace_document(
        document_id=old.pk,
        version=1,
        facts={"number": "0002", "starts_on": dt.date(2026, 3, 1), "ends_on": dt.date(2027, 2, 28)},
        today=TODAY,
        actor=vera,
        now=NOON,
    )
    make_document(trailer, permanent=True, starts_on=None, ends_on=None, state="ME")
    make_document(
        trailer, kind="periodic_inspection", starts_on=dt.date(2025, 7, 4), ends_on=None, program="state", inspector="G"
    )
    make_document(cooling, kind="cooling_unit_in_use_standard", us_state="CA", starts_on=None, ends_on=None)
    make_document(tractor, kind="fuel_tax_licence", starts_on=dt.date(2026, 1, 1), ends_on=None)
    make_document(tractor, kind="heavy_vehicle_use_tax", starts_on=dt.date(2025, 7, 1), ends_on=None)
    make_document(others, kind="title", starts_on=None, ends_on=None, issuer="-State-")
    record_document(
        kind="medical_certificate",
        subject=DocumentSubject(person_id=rita.pk),
        facts={"ends_on": dt.date(2027, 1, 1)},
        today=TODAY,
        actor=vera,
        now=NOON,
    )
    record_document(
        kind="insurance",
        subject=DocumentSubject(),
        facts={"ends_on": dt.date(2027, 1, 1), "number": "P;1"},
        today=TODAY,
        actor=vera,
        now=NOON,
    )
    for hours, shown in ((30, "1000.0"), (20, "1200.5"), (10, "1200.5")):
        make_reading(tractor, shown, read_at=NOON - dt.timedelta(hours=hours))
    make_reading(cooling, "77.7", meter=MeterKind.ENGINE_H, read_at=NOON - dt.timedelta(hours=1, microseconds=5))
    read_cooling_unit(
        cooling,
        {"setpoint": "-28.9", "return_air": "-0.1", "mode": "cycling", "alarms": "note strange", "defrost": "true"},
        {"setpoint": "-20.0", "fuel_gal": "12.5", "engine_h": "77.7"},
        by=vera,
    )


def read_cooling_unit(unit: Unit, celsius: dict[str, str], fahrenheit: dict[str, str], *, by: Person) -> None:
    """Two rows of a recorder, one in each scale, the first with an alarm in no known class."""
    for scale, at, given, outcome in (
        ("degC", "2026-03-05T06:00:00Z", celsius, RowOutcome.FLAGGED),
        ("degF", "2026-03-05T07:00:00Z", fahrenheit, RowOutcome.CREATED),
    ):
        row = {"unit": unit.number, "read_at": at, "unit_of_measure": scale, **given}
        assert outcomes(take_in(Table.COOLING_READINGS, [row], by)) == {2: outcome}


def test_records_taken_in_elsewhere__are_the_same_to_the_byte(given_out: dict[Table, bytes], elsewhere: None) -> None:
    importer = make_person("Importer", Role.ADMINISTRATOR, Role.COMPLIANCE, username="importer")
    for table in ORDER:
        report = take_in(table, given_out[table], importer, ImportMode.ALL_OR_NOTHING)
        flagged = {RowOutcome.FLAGGED} if table is Table.COOLING_READINGS else set()
        assert set(outcomes(report).values()) == {RowOutcome.CREATED, *flagged}, table
    importer.left_on = TODAY
    importer.save()
    assert {table: b"".join(on_record(table, TODAY)) for table in ORDER} == given_out
    assert {len(records(content)) for content in given_out.values()} == {1, 2, 3, 4, 6, 9}
    for table in ORDER:
        again = take_in(table, given_out[table], importer, ImportMode.ALL_OR_NOTHING)
        assert set(outcomes(again).values()) == {RowOutcome.UNCHANGED}, table


def test_what_must_differ__is_not_given_out_to_be_taken_in(given_out: dict[Table, bytes]) -> None:
    names = {name for content in given_out.values() for name in records(content)[0]}
    assert names.isdisjoint({"id", "version", "recorded_at", "recorded_by", "superseded_at", "retired_on", "left_on"})
    assert b"'=Crookspoke" in given_out[Table.PEOPLE]
    assert Document.objects.count() == 10
    assert Carrier.objects.count() == 1
