"""Reminders as their papers stand today: a mended end, days gone by without a sweep. Owes nothing."""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from common.errors import NotFound
from fleet.enums import NoticeKind
from fleet.models import Document
from fleet.rules.documents import load_document_kinds
from fleet.rules.documents.reminders import ENDING, IN_GRACE, OVERDUE
from fleet.selectors.documents import end_of, paper_day
from fleet.services.notices import Recount, Told, add_recount
from fleet.services.reminders.rungs import reminder_on
from fleet.services.reminders.wording import reminder_facts

COUNTED = frozenset({ENDING, IN_GRACE, OVERDUE})


def _prepare(subjects: Collection[UUID], now: datetime) -> Recount:
    papers = Document.objects.in_bulk(list(subjects))
    kinds = load_document_kinds()
    try:
        day = paper_day(now=now)
    except NotFound:
        papers = {}

    def recount(subject: UUID | None, told: Told) -> Told | None:
        code, facts = told
        paper = None if subject is None else papers.get(subject)
        if code not in COUNTED or paper is None or paper.kind not in kinds:
            return told
        kind = kinds[paper.kind]
        reminder = reminder_on(day, kind, end_of(paper))
        return None if reminder is None else (reminder.code, {**facts, **reminder_facts(kind, reminder)})

    return recount


add_recount(NoticeKind.DOCUMENT_ENDING, _prepare)
