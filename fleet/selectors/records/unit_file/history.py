"""The section with the unit's whole history, every link with its hashes and salt, so that anybody can recompute it."""

import json
from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.models import HistoryEntry
from fleet.selectors.records.history_sentences import sentence_of_entry
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read(scope: FileScope) -> Iterator[Record]:
    """Every entry in its order; `salt` and `body` are null where the content's retention is over."""
    entries = HistoryEntry.objects.filter(unit=scope.unit).select_related("actor", "content").order_by("sequence")
    for entry in entries.iterator(CHUNK):
        content = getattr(entry, "content", None)
        yield {
            "unit": entry.unit_id,
            "sequence": entry.sequence,
            "kind": entry.kind,
            "subject": entry.subject,
            "performed_at": entry.performed_at,
            "recorded_at": entry.recorded_at,
            "actor": entry.actor_id,
            "actor_name": person_record(entry.actor),
            "content_hash": bytes(entry.content_hash).hex(),
            "previous_hash": bytes(entry.previous_hash).hex(),
            "entry_hash": bytes(entry.entry_hash).hex(),
            "salt": None if content is None else bytes(content.salt).hex(),
            "body": None if content is None else content.body,
        }


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """The entry as a sentence, with the beginning of its hash."""
    yield (
        str(record["sequence"]),
        words.instant(record["performed_at"]),
        _said(record, words),
        words.person(record["actor_name"]) or _("the service"),
        record["entry_hash"][:12],
    )


def _said(record: Record, words: Words) -> str:
    if record["body"] is None:
        return _("The content was purged after its retention.")
    return sentence_of_entry(record["kind"], json.loads(record["body"]), words.language)


HISTORY = Section(
    name="history",
    place=190,
    title=gettext_lazy("History of the unit, hash-chained"),
    source="49 CFR 396.3(b)(3)",
    empty=gettext_lazy("Nothing has happened to the unit yet."),
    read=read,
    columns=(
        Column(gettext_lazy("No."), 0.08),
        Column(gettext_lazy("When"), 0.2),
        Column(gettext_lazy("What happened"), 0.4),
        Column(gettext_lazy("Who"), 0.18),
        Column(gettext_lazy("Hash"), 0.14),
    ),
    rows=rows,
    note=gettext_lazy("Always complete, so that the chain can be recomputed."),
)
