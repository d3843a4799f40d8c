"""Locking units and writing their history: the first and the last step of every write about a unit."""

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from common.canonical import canonical_json
from common.errors import NotFound
from fleet.models import HistoryContent, HistoryEntry, UnitChain
from fleet.rules.chain import Link, content_hash, entry_hash


@dataclass(frozen=True)
class _Event:
    unit: UUID
    kind: str
    subject: UUID | None
    performed_at: datetime
    actor: UUID | None
    body: str


class Ledger:
    """The locked chains of some units and what is to be written into their history, in order."""

    def __init__(self, chains: Iterable[UnitChain]) -> None:
        self._chains = {chain.unit_id: chain for chain in chains}
        self._events: list[_Event] = []

    @property
    def units(self) -> frozenset[UUID]:
        """The units that are locked."""
        return frozenset(self._chains)

    def record(
        self,
        unit: UUID,
        kind: str,
        *,
        subject: UUID | None,
        performed_at: datetime,
        actor: UUID | None,
        body: Mapping[str, object],
    ) -> None:
        """Note one thing that happened to a locked unit; KeyError for a unit that is not locked."""
        if unit not in self._chains:
            raise KeyError(unit)
        self._events.append(_Event(unit, kind, subject, performed_at, actor, canonical_json(body).decode()))

    def write(self, *, now: datetime) -> list[HistoryEntry]:
        """Append everything noted, in three statements however much it is, and forget it."""
        entries, contents, touched = [], [], {}
        for event in self._events:
            chain = self._chains[event.unit]
            entry, content = _append(chain, event, now)
            entries.append(entry)
            contents.append(content)
            touched[chain.unit_id] = chain
        self._events = []
        if entries:
            HistoryEntry.objects.bulk_create(entries)
            HistoryContent.objects.bulk_create(contents)
            UnitChain.objects.bulk_update(touched.values(), ["sequence", "head"])
        return entries


def lock_units(units: Iterable[UUID], *, beside: Iterable[QuerySet[Any, UUID]] = ()) -> Ledger:
    """Lock the chain row of every unit named, in key order, until the transaction ends.

    `beside` are queries for the keys of further units, resolved and locked in the same statement. Raises NotFound
    `unit_unknown` when one of the units named has no chain.
    """
    wanted = set(units)
    concerned = Q(unit_id__in=sorted(wanted))
    for query in beside:
        concerned |= Q(unit_id__in=query)
    ledger = Ledger(UnitChain.objects.select_for_update(no_key=True).filter(concerned).order_by("unit_id"))
    if not wanted <= ledger.units:
        raise NotFound("unit_unknown")
    return ledger


def _append(chain: UnitChain, event: _Event, now: datetime) -> tuple[HistoryEntry, HistoryContent]:
    salt = secrets.token_bytes(16)
    link = Link(
        unit=event.unit,
        sequence=chain.sequence + 1,
        kind=event.kind,
        subject=event.subject,
        performed_at=event.performed_at,
        recorded_at=now,
        actor=event.actor,
        content_hash=content_hash(salt, event.body),
        previous_hash=bytes(chain.head),
    )
    entry = HistoryEntry(
        unit_id=link.unit,
        sequence=link.sequence,
        kind=link.kind,
        subject=link.subject,
        performed_at=link.performed_at,
        recorded_at=link.recorded_at,
        actor_id=link.actor,
        content_hash=link.content_hash,
        previous_hash=link.previous_hash,
        entry_hash=entry_hash(link),
    )
    chain.sequence, chain.head = link.sequence, entry.entry_hash
    return entry, HistoryContent(entry=entry, salt=salt, body=event.body)
