"""Which reminders still hold: a paper replaced or recorded since is no news any more. Sends and escalates nothing."""

from django.db.models import Exists, Func, OuterRef, Q, QuerySet, Value

from fleet.enums import NoticeKind
from fleet.models import Document, Notice
from fleet.rules.documents.reminders import MISSING


def still_standing(notices: QuerySet[Notice]) -> QuerySet[Notice]:
    """The notices without reminders of papers that were replaced, or that were missing and are not."""
    kind = Func(OuterRef("step"), Value(":"), Value(1), function="SPLIT_PART")
    replaced = Document.objects.filter(pk=OuterRef("subject_id"), replaced_at__isnull=False)
    recorded = Document.objects.filter(replaced_at__isnull=True, kind=kind).filter(
        Q(unit_id=OuterRef("subject_id")) | Q(unit__isnull=True, person__isnull=True)
    )
    of_papers = Q(kind=NoticeKind.DOCUMENT_ENDING)
    missing = Q(kind=NoticeKind.DOCUMENT_ENDING, code=MISSING)
    return notices.exclude(of_papers & Exists(replaced)).exclude(missing & Exists(recorded))
