"""Reminders as they read now: an end edited meanwhile, days gone by since they were created. Creates none."""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from common.errors import NotFound
from fleet.enums import ENDING, IN_GRACE, OVERDUE, NotificationKind
from fleet.models import Document, Qualification
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.qualified import PREFIX, qualification_kinds
from fleet.selectors.documents.status import document_day, end_of
from fleet.services.documents.reminders.wording import reminder_facts, reminder_on
from fleet.services.notifications.create import stored_facts
from fleet.services.notifications.refresh import Content, NotificationRefresh, Refresh

COUNTED = frozenset({ENDING, IN_GRACE, OVERDUE})


def _prepare(subjects: Collection[UUID], now: datetime) -> Refresh:
    ends = _ends(subjects)
    try:
        day = document_day(now=now)
    except NotFound:
        ends = {}

    def refresh(subject: UUID | None, content: Content) -> Content | None:
        code, facts = content
        ending = None if subject is None else ends.get(subject)
        if code not in COUNTED or ending is None:
            return content
        kind, end = ending
        reminder = reminder_on(day, kind, end)
        if reminder is None:
            return None
        return reminder.code, {**facts, **stored_facts(reminder_facts(kind, reminder))}

    return refresh


def _ends(subjects: Collection[UUID]) -> dict[UUID, tuple[DocumentKind, PeriodEnd]]:
    """Of each document and qualification its kind and its end as they stand; of those of a kind that is known here."""
    kinds, scopes = load_document_kinds(), qualification_kinds()
    documents = Document.objects.filter(pk__in=subjects, kind__in=kinds)
    held = [(row, scopes.get(PREFIX + row.scope)) for row in Qualification.objects.filter(pk__in=subjects)]
    return {document.pk: (kinds[document.kind], end_of(document)) for document in documents} | {
        row.pk: (kind, PeriodEnd(row.ends_on)) for row, kind in held if kind is not None
    }


REFRESH = NotificationRefresh(NotificationKind.DOCUMENT_ENDING, _prepare)
