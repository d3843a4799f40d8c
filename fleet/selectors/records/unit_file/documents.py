"""The sections of a unit's documents: its periodic inspections, and everything else with a date, scans with both."""

from collections.abc import Callable, Iterable, Iterator, Sequence

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.messages.documents.documents import INSPECTION_PROGRAMS
from fleet.models import Document
from fleet.rules.documents.loading import load_document_kinds
from fleet.selectors.documents.status import document_day
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section

PERIODIC_INSPECTION = "periodic_inspection"


def _documents(scope: FileScope) -> QuerySet[Document]:
    rows = Document.objects.filter(unit=scope.unit).select_related("recorded_by", "file")
    return rows.order_by("kind", "starts_on", "pk")


def _read(choose: Callable[[QuerySet[Document]], QuerySet[Document]]) -> Callable[[FileScope], Iterator[Record]]:
    def read(scope: FileScope) -> Iterator[Record]:
        """Every document kept, replaced ones too: whether a day was covered is seen from all of them."""
        day = document_day(now=scope.now)
        for document in choose(_documents(scope)).iterator(CHUNK):
            kind = load_document_kinds().get(document.kind)
            yield {
                "id": document.pk,
                "kind": document.kind,
                "title": {"en": document.kind} if kind is None else kind.text,
                "source": "" if kind is None else kind.source.text,
                "number": document.number,
                "issuer": document.issuer,
                "us_state": document.us_state,
                "issued_on": document.issued_on,
                "starts_on": document.starts_on,
                "ends_on": document.ends_on,
                "ends_on_month": document.ends_on_month,
                "last_day": day.last_day(document),
                "status": day.status(document),
                "program": document.program,
                "inspector": document.inspector,
                "evidence_held_by": document.evidence_held_by,
                "inspector_unproven": document.inspector_unproven,
                "scan": document.file_id,
                "recorded_at": document.recorded_at,
                "recorded_by": person_record(document.recorded_by),
                "superseded_at": document.superseded_at,
                "superseded_by": document.superseded_by_id,
            }

    return read


def _status(record: Record) -> str:
    words = {
        "valid": _("valid"),
        "due": _("due"),
        "expired": _("expired"),
        "missing": _("missing"),
        "superseded": _("superseded"),
    }
    return words[record["status"]]


def _ends(record: Record) -> str:
    day, month = record["ends_on"], record["ends_on_month"]
    if day is None and month is None:
        return record["last_day"] or _("no end")
    return "\n".join(filter(None, (day, month and month != day and _("by month end: {day}").format(day=month))))


def _scan(record: Record) -> str:
    return _("scan {name}").format(name=record["scan"][:12]) if record["scan"] else _("no scan")


def inspection_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """When, by whom under which program, until when, and its report."""
    program = words.label(INSPECTION_PROGRAMS, record["program"])
    who = [record["inspector"] or _("inspector not recorded"), program, record["issuer"]]
    if record["evidence_held_by"]:
        who.append(_("evidence kept by {firm}").format(firm=record["evidence_held_by"]))
    if record["inspector_unproven"]:
        who.append(_("not shown to be qualified"))
    yield (
        record["starts_on"] or _("not recorded"),
        "\n".join(filter(None, who)),
        _ends(record),
        _status(record),
        _scan(record),
    )


def document_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """What it is, from when until when, and its scan."""
    issued = ", ".join(filter(None, (record["number"], record["issuer"], record["us_state"])))
    begins = record["starts_on"] or record["issued_on"] or ""
    yield f"{words.either(record['title'])}\n{issued}", begins, _ends(record), _status(record), _scan(record)


def scans(record: Record) -> Iterable[str]:
    return filter(None, [record["scan"]])


PERIODIC_INSPECTIONS = Section(
    name="periodic_inspections",
    place=30,
    title=gettext_lazy("Periodic inspections"),
    source="49 CFR 396.17, 396.21",
    empty=gettext_lazy("No periodic inspection is recorded."),
    read=_read(lambda rows: rows.filter(kind=PERIODIC_INSPECTION)),
    columns=(
        Column(gettext_lazy("Inspected on"), 0.15),
        Column(gettext_lazy("By whom, under which program"), 0.35),
        Column(gettext_lazy("Last day covered"), 0.2),
        Column(gettext_lazy("Status"), 0.12),
        Column(gettext_lazy("Report"), 0.18),
    ),
    rows=inspection_rows,
    files=scans,
    folder="scans",
    note=gettext_lazy("Always complete, whatever days were chosen."),
)
DOCUMENTS = Section(
    name="documents",
    place=140,
    title=gettext_lazy("Registration and other documents"),
    empty=gettext_lazy("No other document is recorded."),
    read=_read(lambda rows: rows.exclude(kind=PERIODIC_INSPECTION)),
    columns=(
        Column(gettext_lazy("Document"), 0.4),
        Column(gettext_lazy("From"), 0.13),
        Column(gettext_lazy("Last day"), 0.17),
        Column(gettext_lazy("Status"), 0.12),
        Column(gettext_lazy("Scan"), 0.18),
    ),
    rows=document_rows,
    files=scans,
    folder="scans",
    note=gettext_lazy("Always complete, whatever days were chosen."),
)
