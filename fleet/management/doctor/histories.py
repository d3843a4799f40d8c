"""The histories of the last day, checked link by link. The whole of them is `verify_history`'s work."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from fleet.management.doctor.diagnosis import Diagnosis
from fleet.models import HistoryEntry
from fleet.rules.records.chain import Link, content_hash, entry_hash

MOST = 20_000
"""Entries looked at: some seconds. Our own figure."""
FIELDS = (
    *("unit_id", "sequence", "kind", "subject", "performed_at", "recorded_at", "actor_id", "content_hash"),
    *("previous_hash", "entry_hash", "content__salt", "content__body", "unit__chain__sequence", "unit__chain__head"),
)
"""Read in one statement, which is one snapshot: somebody may be writing."""


def examine_last_day(now: datetime) -> Iterator[Diagnosis]:
    """Tell of the units whose entries of the last day are not what was hashed or do not follow one another."""
    rows = HistoryEntry.objects.filter(pk__gte=_first_key(now - timedelta(days=1))).order_by("-pk")
    links = sorted(rows.values_list(*FIELDS)[:MOST], key=lambda row: (row[0], row[1]))
    broken = set(_broken(links))
    if broken:
        yield Diagnosis(
            f"the histories of {len(broken)} units are not as they were written, the first {min(broken)}",
            "run `manage.py verify_history`, which says what was done to them, and keep what it prints",
        )


def _broken(links: Iterable[tuple[Any, ...]]) -> Iterator[UUID]:
    """The units of links that do not fit, from links in the order of their unit and sequence."""
    before: tuple[UUID, int, bytes] | None = None
    for *named, content, previous, stored, salt, body, chain_length, chain_head in links:
        link, own = _link(named, bytes(content), bytes(previous)), bytes(stored)
        words_fit = salt is None or content_hash(bytes(salt), body) == link.content_hash
        follows = before is None or before[:2] != (link.unit, link.sequence - 1) or before[2] == link.previous_hash
        ends = chain_length is not None and (
            link.sequence < chain_length or (link.sequence, own) == (chain_length, bytes(chain_head))
        )
        if not (words_fit and follows and ends and entry_hash(link) == own):
            yield link.unit
        before = (link.unit, link.sequence, own)


def _link(named: Sequence[Any], content: bytes, previous: bytes) -> Link:
    unit, sequence, kind, subject, performed_at, recorded_at, actor = named
    return Link(unit, sequence, kind, subject, performed_at, recorded_at, actor, content, previous)


def _first_key(since: datetime) -> UUID:
    """The smallest time-ordered key of an instant, so that the index of keys finds what was written since."""
    return UUID(int=(int(since.timestamp() * 1000) << 80) | (7 << 76) | (2 << 62))
