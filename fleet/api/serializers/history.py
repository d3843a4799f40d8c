"""One entry of a unit's history, in words of the reader's language and with its links."""

import json
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common import messages
from common.api.language import current_language
from common.messages import Message
from fleet.api.serializers.keeping import DeletedContent
from fleet.api.serializers.names import PersonName
from fleet.models import Deletion, HistoryEntry
from fleet.selectors.records.history_sentences import sentence_of_entry

FREE_FORM = "What an entry says depends on its kind; new kinds come by addition."
"""Why the content is an object without listed members."""


class HistoryOut(serializers.Serializer[Any]):
    """What happened to the unit; `content` is null once the days of keeping it are over, the entry itself stays."""

    id = serializers.UUIDField()
    sequence = serializers.IntegerField()
    kind = serializers.CharField()
    text = serializers.SerializerMethodField()
    subject = serializers.UUIDField(allow_null=True)
    performed_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = PersonName(allow_null=True)
    content = serializers.SerializerMethodField()
    deletion = serializers.SerializerMethodField()
    entry_hash = serializers.SerializerMethodField()

    def get_text(self, entry: HistoryEntry) -> str:
        """Return the entry as a sentence: what it says, that this is past its days and gone, or its bare kind."""
        said, deletion = _said(entry), _deletion(entry)
        if deletion is not None:
            facts = {
                "kept_until": deletion.kept_until,
                "rule": deletion.rule,
                "source": deletion.source,
                "deleted_on": deletion.deleted_at.date(),
            }
            return messages.render(Message("content_deleted", facts), current_language())
        return entry.kind if said is None else sentence_of_entry(entry.kind, said, current_language())

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": True, "description": FREE_FORM})
    def get_content(self, entry: HistoryEntry) -> dict[str, object] | None:
        """Return the facts of the entry."""
        return _said(entry)

    @extend_schema_field(DeletedContent(allow_null=True))
    def get_deletion(self, entry: HistoryEntry) -> Any:
        """Return when what it said was deleted, and by which rule; null while it is there."""
        deletion = _deletion(entry)
        return None if deletion is None else DeletedContent(deletion).data

    @extend_schema_field({"type": "string", "pattern": "^[0-9a-f]{64}$"})
    def get_entry_hash(self, entry: HistoryEntry) -> str:
        """Return the link's own SHA-256."""
        return bytes(entry.entry_hash).hex()


def _said(entry: HistoryEntry) -> dict[str, object] | None:
    content = getattr(entry, "content", None)
    if content is None:
        return None
    said: dict[str, object] = json.loads(content.body)
    return said


def _deletion(entry: HistoryEntry) -> Deletion | None:
    return getattr(entry, "deletion", None)
