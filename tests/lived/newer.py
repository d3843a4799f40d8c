"""Rows as a newer release may have left them: code words, and codes of sentences, that this one does not know.

Found by asking the models: every column with choices, and those named here that hold a code word without saying so.
"""

from collections.abc import Iterator
from typing import Any

from django.db import connection, models
from psycopg import sql

from fleet.enums import NotificationKind
from fleet.models import Notification, Qualification
from tests.lived.filling import tables

CODES = {
    "fleet.HistoryEntry": ["kind"],
    "fleet.HistoryContent": ["record_kind"],
    "fleet.Document": ["kind", "scan_record_kind"],
    "fleet.Deletion": ["event", "record_kind"],
    "fleet.MeterReading": ["query"],
    "fleet.CoolingReading": ["flag"],
    "fleet.Notification": ["code"],
    "fleet.Person": ["language"],
    "fleet.Policy": ["key"],
    "fleet.JobRun": ["name"],
    "fleet.SkippedRecord": ["job"],
    "defects.Defect": ["point", "finding", "unit_of_measure"],
    "defects.Hold": ["lift_flag"],
    "defects.Sighting": ["finding", "unit_of_measure"],
    "defects.Measurement": ["point", "unit_of_measure"],
    "workorders.RepairTask": ["scope"],
    "workorders.LaborEntry": ["pause_cause"],
}
"""Columns that hold a code word and have no choices."""
KEYS = {"code", "kind", "reason", "why", "area", "scope", "state", "severity", "answer", "leg", "ends_when", "point"}
"""Names of code words within what is kept as JSON."""

NEVER_SHOWN = frozenset(
    {
        "defects.Defect.bars",
        "defects.Measurement.point",
        "defects.Sighting.bars",
        "defects.Sighting.finding",
        "fleet.Document.scan_record_kind",
        "fleet.HistoryContent.record_kind",
        "fleet.OnCallShift.role",
        "fleet.SkippedRecord.job",
        "fleet.Signature.purpose",
        "fleet.JobRun.name",
        "fleet.TractorDetails.steering_assist",
    }
)
"""Columns that the service reads and no answer shows, or shows only in a file; what a listed fault bars is movement."""


def write_newer_words() -> dict[str, str]:
    """Put a word of its own into every such column, some rows of a table each; return the words by column.

    No constraint of this release stands against it: the newer one has widened it.
    """
    written: dict[str, str] = {}
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for model in tables():
            _open(cursor, model)
            columns = list(_columns(model))
            rows = list(model._default_manager.order_by("pk"))
            for number, field in enumerate(columns):
                word = f"new_{len(written)}_"[: field.max_length]
                if sum(_write(row, field, word) for row in _share(rows, number, len(columns))):
                    written[f"{model._meta.label}.{field.name}"] = word
    remind_of_newer_scope()
    return written


def remind_of_newer_scope() -> None:
    """Have a notification remind of a qualification in a scope that is not known here."""
    newer, notification = Qualification.objects.filter(scope__startswith="new_").first(), Notification.objects.first()
    assert newer is not None
    assert notification is not None
    told = {"kind": NotificationKind.DOCUMENT_ENDING, "code": "document_ending", "subject_id": newer.pk}
    Notification.objects.filter(pk=notification.pk).update(**told)


def _open(cursor: Any, model: type[models.Model]) -> None:
    table = sql.Identifier(model._meta.db_table)
    cursor.execute(sql.SQL("ALTER TABLE {} DISABLE TRIGGER USER").format(table))
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.CheckConstraint):
            cursor.execute(sql.SQL("ALTER TABLE {} DROP CONSTRAINT {}").format(table, sql.Identifier(constraint.name)))


def _columns(model: type[models.Model]) -> Iterator["models.Field[Any, Any]"]:
    for field in model._meta.concrete_fields:
        if field.choices or field.name in CODES.get(model._meta.label, ()) or isinstance(field, models.JSONField):
            yield field


def _share(rows: list[models.Model], number: int, of: int) -> list[models.Model]:
    """Rows for a column: each of a table's columns gets others where there are enough, and one part stays as it is."""
    return [row for place, row in enumerate(rows) if place % (of + 1) == number] or rows[-1:]


def _write(row: models.Model, field: "models.Field[Any, Any]", word: str) -> bool:
    held = getattr(row, field.attname)
    value = _newer(held, word) if isinstance(field, models.JSONField) else word
    if value == held:
        return False
    type(row)._default_manager.filter(pk=row.pk).update(**{field.name: value})
    return True


def _newer(held: Any, word: str) -> Any:
    if isinstance(held, list):
        return [_newer(item, word) for item in held]
    if isinstance(held, dict):
        return {
            name: word if name in KEYS and isinstance(value, str) else _newer(value, word)
            for name, value in held.items()
        }
    return held
