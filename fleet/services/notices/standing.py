"""Which reminders still hold: a paper replaced or recorded since is no news any more. Sends and escalates nothing."""

from django.db.models import CharField, Exists, Func, OuterRef, Q, QuerySet, Value

from fleet.enums import NoticeKind
from fleet.models import Document, Notice
from fleet.rules.documents.reminders import MISSING


def still_standing(notices: QuerySet[Notice]) -> QuerySet[Notice]:
    """The notices without reminders of papers that were replaced, or that were missing and are not."""
    kind, state, week = (_part_of_step(position) for position in (1, 2, 3))
    replaced = Document.objects.filter(pk=OuterRef("subject_id"), replaced_at__isnull=False)
    recorded = (
        Document.objects.filter(replaced_at__isnull=True, kind=kind)
        .filter(Q(unit_id=OuterRef("subject_id")) | Q(unit__isnull=True, person__isnull=True))
        .alias(week=week)
        .filter(Q(week="") | Q(state=state))
    )
    of_papers = Q(kind=NoticeKind.DOCUMENT_ENDING)
    missing = Q(kind=NoticeKind.DOCUMENT_ENDING, code=MISSING)
    return notices.exclude(of_papers & Exists(replaced)).exclude(missing & Exists(recorded))


def _part_of_step(position: int) -> Func:
    """A part of `missing_step`: the kind and the week, or the kind, the State and the week."""
    parts = (OuterRef("step"), Value(":"), Value(position))
    return Func(*parts, function="SPLIT_PART", output_field=CharField())
