"""Streaming the stored histories and chain rows, one unit after another. Judging them is in rules."""

from collections.abc import Iterator
from datetime import datetime
from heapq import merge
from operator import attrgetter
from uuid import UUID

from common.composition import contributed
from fleet.models import HistoryEntry, UnitChain
from fleet.rules.records.chain import Link
from fleet.rules.records.chain_check import Head, StoredLink
from fleet.rules.records.recount import OnRecord
from fleet.selectors.records.recounts import Recounted

BATCH = 2_000

FIELDS = (
    "unit_id",
    "sequence",
    "kind",
    "subject",
    "performed_at",
    "recorded_at",
    "actor_id",
    "content_hash",
    "previous_hash",
    "entry_hash",
    "content__salt",
    "content__body",
    "deletion__content_hash",
)


def stored_histories() -> Iterator[Head | StoredLink | OnRecord]:
    """All chain rows, links and records in the order of their unit's key, of one unit the chain row, then its links.

    To be read inside one snapshot, since the two are read side by side; memory does not grow with their number.
    """
    return merge(
        _heads(), _links(), *(recounted.rows() for recounted in contributed(Recounted)), key=attrgetter("unit")
    )


def _heads() -> Iterator[Head]:
    rows = UnitChain.objects.order_by("unit_id").values_list("unit_id", "sequence", "head")
    for unit, sequence, head in rows.iterator(BATCH):
        yield Head(unit, sequence, bytes(head))


def _links() -> Iterator[StoredLink]:
    for row in HistoryEntry.objects.order_by("unit_id", "sequence").values_list(*FIELDS).iterator(BATCH):
        yield _link(*row)


def _link(  # noqa: PLR0913, PLR0917 - one parameter for each of FIELDS
    unit: UUID,
    sequence: int,
    kind: str,
    subject: UUID | None,
    performed_at: datetime,
    recorded_at: datetime,
    actor: UUID | None,
    content: bytes,
    previous: bytes,
    stored: bytes,
    salt: bytes | None,
    body: str | None,
    deleted: str | None,
) -> StoredLink:
    link = Link(unit, sequence, kind, subject, performed_at, recorded_at, actor, bytes(content), bytes(previous))
    deleted_hash = None if deleted is None else bytes.fromhex(deleted)
    return StoredLink(link, bytes(stored), None if salt is None else bytes(salt), body, deleted_hash)
