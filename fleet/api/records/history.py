"""The history of one unit over HTTP, each entry in words of the reader's language and with its link."""

import json
from datetime import datetime
from typing import Any, Self
from uuid import UUID

from django.db.models import QuerySet
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.api.filter_kinds import KnownFilter, within
from common.api.filters import StrictFilterSet
from common.messages import Message, current_language
from fleet.api.people.short import PersonShort
from fleet.api.records.deletions import DeletedContent, Hash
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.roles import READERS_OF_HISTORY
from fleet.api.requests.views import ServiceViewSet
from fleet.messages.records import PREFIX
from fleet.models import Deletion, HistoryEntry
from fleet.selectors.records.history_sentences import sentence_of_entry

FREE_FORM = "What an entry says depends on its kind; new kinds come by addition."
"""Why the content is an object without listed members."""


class HistoryAnswer(Answer):
    """What happened to the unit; `content` is null once its retention is over, the entry itself stays."""

    id: UUID
    sequence: int
    kind: str
    text: str = Field(description="What it says, that this is past its days and gone, or its bare kind.")
    subject: UUID | None
    performed_at: datetime
    recorded_at: datetime
    actor: PersonShort | None
    content: dict[str, Any] | None = Field(description=FREE_FORM)
    deletion: DeletedContent | None = Field(description="When what it said was deleted; null while it is there.")
    entry_hash: Hash

    @classmethod
    def of_entry(cls, entry: HistoryEntry) -> Self:
        content = getattr(entry, "content", None)
        deletion: Deletion | None = getattr(entry, "deletion", None)
        said = None if content is None else json.loads(content.body)
        text = _text(entry, said, deletion)
        entry_hash = bytes(entry.entry_hash).hex()
        return cls.of(entry, text=text, content=said, deletion=deletion, entry_hash=entry_hash)


def _text(entry: HistoryEntry, said: dict[str, object] | None, deletion: Deletion | None) -> str:
    if deletion is None:
        return entry.kind if said is None else sentence_of_entry(entry.kind, said, current_language())
    facts = {
        "retained_until": deletion.retained_until,
        "rule": deletion.rule,
        "source": deletion.source,
        "deleted_on": deletion.deleted_at.date(),
    }
    return messages.render(Message("content_deleted", facts), current_language())


class HistoryFilter(StrictFilterSet):
    """Entries of one unit's history."""

    kind = KnownFilter(known=lambda kind: f"{PREFIX}_{kind}" in messages.registered_codes())
    since, until = within("performed_at")


class HistoryViewSet(ServiceViewSet):
    """What happened to one unit, newest first."""

    roles = {"list": READERS_OF_HISTORY}
    filterset_class = HistoryFilter
    ordering = ("-sequence",)
    shows = HistoryAnswer
    tag = "unit-history"

    def get_queryset(self) -> QuerySet[HistoryEntry]:
        entries = HistoryEntry.objects.select_related("actor", "content", "deletion")
        if self.being_described:
            return entries.none()
        return entries.filter(unit=unit_in_path(self.kwargs["ref"]))

    def answer_of(self, row: Any) -> HistoryAnswer:
        return HistoryAnswer.of_entry(row)

    def list(self, _request: ServiceRequest, ref: str) -> Response:
        """Every entry of the unit's maintenance file (396.3), each linked to the one before it."""
        return self.listed()
