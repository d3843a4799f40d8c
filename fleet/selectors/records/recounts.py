"""Records as they stand, to be compared with their histories; each app contributes its own, and fleet's are here."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.db.models import F, Q, QuerySet

from common.canonical import plain
from fleet.models import Axle, Document, LegalHold, MeterReading, Unit
from fleet.rules.records.recount import OnRecord, Recount
from fleet.rules.records.recounts import (
    AXLES,
    DOCUMENT_COLUMNS,
    DOCUMENTS,
    LEGAL_HOLDS,
    READING_COLUMNS,
    READINGS,
    UNIT_AT_FIRST,
    UNITS,
    axle_facts,
)
from fleet.rules.units.description import DETAILS


@dataclass(frozen=True, eq=False)
class Recounted:
    """A kind of record, and every row of it in the order of its unit's key; to be read inside one snapshot."""

    recount: Recount
    rows: Callable[[], Iterator[OnRecord]]


BATCH = 2_000
DETAIL_PATHS = {name: f"{kind}__{name}" for kind, names in DETAILS.items() for name in names}
AXLE_COLUMNS = tuple(field.attname for field in Axle._meta.concrete_fields if field.name not in {"id", "unit"})  # noqa: SLF001 - Django's documented model API


def on_record(recount: Recount, rows: QuerySet[Any], unit: str, columns: Sequence[str]) -> Iterator[OnRecord]:
    """Each row's unit, key and columns, in the order of its unit's key, as its entries would spell them."""
    for owner, key, *values in rows.order_by(unit, "pk").values_list(unit, "pk", *columns).iterator(BATCH):
        yield OnRecord(owner, recount.name, key, dict(zip(columns, map(plain, values), strict=True)))


def documents_on_record() -> Iterator[OnRecord]:
    """Every document of a unit; people and the carrier have no history."""
    documents = Document.objects.filter(unit__isnull=False).annotate(current=Q(superseded_at__isnull=True))
    renamed = [column if column != "file" else "file_id" for column in (*DOCUMENT_COLUMNS, "file", "current")]
    for row in on_record(DOCUMENTS, documents, "unit_id", renamed):
        row.facts["file"] = row.facts.pop("file_id")
        yield row


def legal_holds_on_record() -> Iterator[OnRecord]:
    """Every legal hold, active or lifted."""
    holds = LegalHold.objects.annotate(active=Q(lifted_at__isnull=True))
    return on_record(LEGAL_HOLDS, holds, "unit_id", ("cause", "active"))


def readings_on_record() -> Iterator[OnRecord]:
    """Every reading of a meter."""
    return on_record(READINGS, MeterReading.objects.all(), "unit_id", READING_COLUMNS)


def units_on_record() -> Iterator[OnRecord]:
    """Every unit's facts and details; it has those of one kind, whose names no other kind has."""
    details = {name: F(path) for name, path in DETAIL_PATHS.items()}
    units = Unit.objects.annotate(unit_key=F("pk"), **details)
    return on_record(UNITS, units, "unit_key", ("kind", *UNIT_AT_FIRST, *details))


def axles_on_record() -> Iterator[OnRecord]:
    """The axles of each unit that has any."""
    rows = Axle.objects.order_by("unit_id", "number").values("unit_id", *AXLE_COLUMNS).iterator(BATCH)
    for unit, axles in groupby(rows, key=itemgetter("unit_id")):
        plain_axles = [{name: plain(axle[name]) for name in AXLE_COLUMNS} for axle in axles]
        yield OnRecord(unit, AXLES.name, unit, axle_facts(plain_axles))


RECOUNTED = (
    Recounted(UNITS, units_on_record),
    Recounted(AXLES, axles_on_record),
    Recounted(DOCUMENTS, documents_on_record),
    Recounted(LEGAL_HOLDS, legal_holds_on_record),
    Recounted(READINGS, readings_on_record),
)
