"""When what a reminder tells of has ended: what was missing is recorded, what ended is followed, its unit is gone."""

from django.db.models import CharField, Exists, Func, OuterRef, Q, Value

from fleet.enums import NotificationKind
from fleet.models import Document, Qualification
from fleet.selectors.documents.status import newer_qualifications
from fleet.services.notifications.endings import NotificationEnding

SUBJECT = OuterRef("subject_id")


def _part_of_step(position: int) -> Func:
    """A part of `missing_step`: the kind and the week, or the kind, the State and the week; no kind in another step."""
    parts = (OuterRef("step"), Value(":"), Value(position))
    return Func(*parts, function="SPLIT_PART", output_field=CharField())


_kind, _state, _week = (_part_of_step(position) for position in (1, 2, 3))
_recorded = (
    Document.objects.filter(superseded_at__isnull=True, kind=_kind)
    .filter(Q(unit_id=SUBJECT) | Q(unit__isnull=True, person__isnull=True))
    .alias(week=_week)
    .filter(Q(week="") | Q(us_state=_state))
)
_replaced = Document.objects.filter(pk=SUBJECT).filter(
    Q(superseded_at__isnull=False) | Q(unit__retired_on__isnull=False) | Q(person__left_on__isnull=False)
)
_followed = Qualification.objects.filter(pk=SUBJECT, ends_on__isnull=False).filter(
    Exists(newer_qualifications()) | Q(person__left_on__isnull=False)
)
ENDINGS = tuple(
    NotificationEnding(NotificationKind.DOCUMENT_ENDING, ended) for ended in (_recorded, _replaced, _followed)
)
