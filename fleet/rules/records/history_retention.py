"""How long the entries are kept that fleet itself writes into a unit's history."""

from collections.abc import Mapping
from datetime import date

from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.records.retention import (
    FILE,
    RECORD_KINDS,
    Happened,
    Retained,
    Retention,
    as_kind,
    for_good,
    retained_until,
)

MAINTENANCE = "maintenance"


def document(happened: Happened) -> Retained:
    """A document by its kind's rule, counted from its own day or end, and as long as the maintenance file at least.

    A document without an end, or of a kind that is gone, is kept for good.
    """
    kind = load_document_kinds().get(str(happened.said.get("kind")))
    if kind is None:
        return Retained(FILE, None)
    day = _counted_from(kind.keep, happened.said, happened.day)
    if day is None:
        return Retained(kind.keep, None)
    by_kind, by_file = retained_until(kind.keep, day).until, retained_until(MAINTENANCE, happened.day).until
    if by_kind is None or by_file is None or by_kind >= by_file:
        return Retained(kind.keep, by_kind)
    return Retained(MAINTENANCE, by_file)


def _counted_from(record_kind: str, said: Mapping[str, object], day: date) -> date | None:
    """An inspection report counts from its date, a record from its day, every other document from its last day."""
    if record_kind == "periodic_inspection_report":
        return max(filter(None, (_day(said.get("issued_on")), _day(said.get("starts_on")))), default=day)
    if RECORD_KINDS[record_kind].counts_from == "day of the record":
        return day
    return _day(said.get("ends_on"))


def _day(value: object) -> date | None:
    """A day as it was given, or as it stands in the stored text."""
    return date.fromisoformat(value) if isinstance(value, str) and value else value if isinstance(value, date) else None


RETENTIONS = (
    Retention(
        for_good(FILE),
        (
            "unit_added",
            "unit_of_others_added",
            "unit_edited",
            "unit_retired",
            "legal_hold_placed",
            "legal_hold_lifted",
            "file_made",
            # What was mended on a document, or its scan, belongs to a document whose end may still move.
            "document_edited",
            "document_scanned",
        ),
    ),
    Retention(document, ("document_recorded", "document_replaced")),
    Retention(
        as_kind(MAINTENANCE),
        (
            "coupled",
            "uncoupled",
            "mounted",
            "dismounted",
            "meter_read",
            "meter_replaced",
            "cooling_readings_recorded",
            "fuel_lost",
            "whereabouts_recorded",
        ),
    ),
)
