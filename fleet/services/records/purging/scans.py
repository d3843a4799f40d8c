"""How long the scans of replaced papers are kept, by the rule of their kind. Deleting them is the database's work."""

from datetime import date

from django.db.models import Q

from common.clock import day_in_zone
from fleet.models import Document
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.records.retention import RECORD_KINDS, retained_until

AT_MOST = 5_000


def date_scans(*, zone: str) -> int:
    """Give replaced documents with a scan their last day of keeping it, as far as it is known by now; how many.

    A replaced document never changes again; only the end of a person's work may still be open, and is asked for again.
    """
    undated = Document.objects.filter(superseded_at__isnull=False, file__isnull=False, scan_retained_until__isnull=True)
    open_ends = Q(person__isnull=False, person__left_on__isnull=True)
    dated = []
    for document in undated.exclude(open_ends).select_related("person").order_by("pk")[:AT_MOST]:
        kind = load_document_kinds().get(document.kind)
        if kind is None:
            continue
        document.scan_record_kind = kind.keep
        document.scan_retained_until = retained_until(kind.keep, _counted_from(kind.keep, document, zone)).until
        dated.append(document)
    Document.objects.bulk_update(dated, ["scan_record_kind", "scan_retained_until"], batch_size=500)
    return len(dated)


def _counted_from(record_kind: str, document: Document, zone: str) -> date | None:
    """An inspection report counts from its date; a document from its end or from its replacing, whichever is later.

    What is kept for a person's work counts from its end as well, which is known once the person has left.
    """
    superseded = day_in_zone(document.superseded_at, zone) if document.superseded_at else None
    left = None if document.person is None else document.person.left_on
    if record_kind == "periodic_inspection_report":
        days = [document.issued_on, document.starts_on]
    elif RECORD_KINDS[record_kind].until_over:
        days = [left]
    else:
        days = [document.ends_on, superseded, left]
    return max(filter(None, days), default=superseded)
