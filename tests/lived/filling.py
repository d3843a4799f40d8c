"""Fills what the days of the scenario leave empty: a row in every table, and a value in every optional column.

Found by asking the models, so that a new table or column is filled by itself, or fails here until `SAID` says what.
"""

import datetime as dt
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, TypeAlias

from django.apps import apps
from django.contrib.postgres.fields import RangeField
from django.db import DatabaseError, connection, models, transaction
from psycopg import sql

from fleet.enums import HoldCause, ReadingSource
from fleet.models import Document, Person, Site, Unit
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.intake import record_cooling_readings
from fleet.services.documents.documents import attach_file, record_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.records.legal_holds import lift_legal_hold, place_legal_hold
from fleet.services.units.units import retire_unit
from tests.factories.tables import plain_value
from tests.lived.said import SAID

APPS = ("fleet", "defects", "workorders")
SCAN = b"%PDF-1.7 a scan"
NEW = "new"
"""In `where`: a row of its own, because the columns that are missing do not go with those that are there."""
EMPTY: tuple[object, ...] = (None, "", [], {}, ())

Field: TypeAlias = "models.Field[Any, Any]"
Row: TypeAlias = models.Model


def tables() -> list[type[Row]]:
    """Every table of the service."""
    return [model for app in APPS for model in apps.get_app_config(app).get_models()]


def unfilled() -> Iterator[str]:
    """Yield each table without a row, and each column that no row has a value in."""
    for model in tables():
        rows = list(model._default_manager.all())
        name = model._meta.label
        if not rows:
            yield name
        for field in model._meta.concrete_fields:
            if rows and all(is_empty(row, field) for row in rows):
                yield f"{name}.{field.name}"


def is_empty(row: Row, field: Field) -> bool:
    """Whether a row says nothing in a column."""
    return getattr(row, field.attname) in EMPTY


def fill(now: dt.datetime) -> None:
    """Make what is missing. Append-only tables are written here as they were by the service: once, and then no more."""
    faults = []
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        _triggers(cursor, "DISABLE")
        told_by_the_service(now)
        for make in (_first_row, _complete):
            for model in tables():
                try:
                    with transaction.atomic():
                        make(model, now)
                except DatabaseError as error:
                    faults.append(f"{model._meta.label}: {error}")
        _triggers(cursor, "ENABLE")
    if faults:
        msg = "say more in said.py:\n" + "\n".join(faults)
        raise LookupError(msg)


def told_by_the_service(now: dt.datetime) -> None:
    """What no day of the scenario does, and a unit's history must tell: a scan, a legal hold, a retirement, readings.

    A driver's document is recorded as well.
    """
    vera, today = _compliance(), now.date()
    driver = DocumentSubject(person_id=Person.objects.get(username="iris").pk)
    facts = {"issued_on": today, "ends_on": today + dt.timedelta(days=40)}
    record_document(kind="medical_certificate", subject=driver, facts=facts, today=today, actor=vera, now=now)
    document = Document.objects.filter(unit__number="LR-46", superseded_at__isnull=True).order_by("pk")[0]
    attach_file(
        document_id=document.pk, version=document.version, content=SCAN, declared="application/pdf", actor=vera, now=now
    )
    hold = place_legal_hold(
        unit_id=Unit.objects.get(number="LR-46").pk, cause=HoldCause.CLAIM, reason="A claim.", actor=vera, now=now
    )
    lift_legal_hold(hold_id=hold.pk, reason="It was settled.", actor=vera, now=now)
    odd = Figures(at=now - dt.timedelta(hours=1), alarms=("of its maker's",), fuel_gal=Decimal(30))
    record_cooling_readings(
        unit_id=Unit.objects.get(number="CU-41").pk, given=[odd], source=ReadingSource.PHONE, actor=vera, now=now
    )
    sold = Unit.objects.get(number="NL-16")
    retire_unit(
        unit_id=sold.pk, version=sold.version, retired_on=today, reason="Sold.", today=today, actor=vera, now=now
    )


def _compliance() -> Person:
    vera = Person.objects.get(username="vera")
    vera.current_roles = frozenset({"compliance"})
    return vera


def _triggers(cursor: Any, what: str) -> None:
    for model in tables():
        table = sql.Identifier(model._meta.db_table)
        cursor.execute(sql.SQL("ALTER TABLE {} {} TRIGGER USER").format(table, sql.SQL(what)))


def _first_row(model: type[Row], now: dt.datetime) -> None:
    if not model._default_manager.exists():
        _insert(model, now)


def _insert(model: type[Row], now: dt.datetime) -> None:
    row = model()
    for field in model._meta.concrete_fields:
        _set(row, field, _said(model), now)
    row.save(force_insert=True)


def _complete(model: type[Row], now: dt.datetime) -> None:
    rows = list(model._default_manager.order_by("pk"))
    given = _said(model)
    where = given.get("where", _any)
    if where == NEW:
        _insert(model, now)
        return
    row = next((row for row in rows if where(row)), rows[-1])
    filled = []
    for field in model._meta.concrete_fields:
        if all(is_empty(each, field) for each in rows):
            _set(row, field, given, now)
            filled.append(field.name)
    filled += [name for name in given if name != "where" and name not in filled and hasattr(model, name)]
    for name in filled:
        _set(row, model._meta.get_field(name), given, now)  # type: ignore[arg-type]  # a column of its own
    if filled:
        row.save(update_fields=filled)


def _any(_: Row) -> bool:
    return True


def _said(model: type[Row]) -> Mapping[str, Any]:
    return SAID.get(model._meta.label, {})


def _set(row: Row, field: Field, given: Mapping[str, Any], now: dt.datetime) -> None:
    if field.primary_key and not is_empty(row, field):
        return
    value = given[field.name] if field.name in given else value_for(field, now)
    setattr(row, field.name, value(row) if callable(value) else value)


def value_for(field: Field, now: dt.datetime) -> object:
    """A plausible value of a column."""
    if isinstance(field, models.ForeignKey):
        related: type[Row] = field.related_model
        first = {Person: {"username": "hob"}, Unit: {"number": "LR-46"}, Site: {}}.get(related, {})
        return related._default_manager.filter(**first).order_by("pk").first()
    return None if isinstance(field, RangeField) else plain_value(field, now - dt.timedelta(minutes=5))
