"""Locking units and writing their history: the first and the last step of every write about a unit."""

import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Q, QuerySet, Subquery
from django.db.transaction import TransactionManagementError

from common.canonical import canonical_json
from common.clock import day_in_zone
from common.compiled import CompiledObjects, Values, compile_objects
from common.errors import NotFound
from common.keys import KeyIn
from fleet.keeping import Happened, kept
from fleet.models import Carrier, HistoryContent, HistoryEntry, UnitChain
from fleet.rules.records.chain import Link, content_hash, entry_hash
from fleet.selectors.carrier.carrier import BEFORE_THE_CARRIER

Beside = Callable[[Values], Iterable[QuerySet[Any, UUID]]]


def nothing(_: Values) -> tuple[()]:
    """No further units."""
    return ()


MOVE_HEADS = """
UPDATE fleet_unitchain SET sequence = moved.sequence, head = moved.head
  FROM unnest(%s::uuid[], %s::bigint[], %s::bytea[]) AS moved (unit_id, sequence, head)
 WHERE fleet_unitchain.unit_id = moved.unit_id
"""
"""An update of many rows by the ORM would write a case for each of them."""


@dataclass(frozen=True)
class _Event:
    unit: UUID
    kind: str
    subject: UUID | None
    performed_at: datetime
    actor: UUID | None
    said: Mapping[str, object]
    body: str


class Ledger:
    """The locked chains of some units and what is to be written into their history, in order."""

    def __init__(self, chains: Iterable[UnitChain]) -> None:
        self._chains = {chain.unit_id: chain for chain in chains}
        zones = (getattr(chain, "carriers_zone", None) for chain in self._chains.values())
        self._zone: str = next((zone for zone in zones if zone), BEFORE_THE_CARRIER)
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
        self._events.append(_Event(unit, kind, subject, performed_at, actor, body, canonical_json(body).decode()))

    def write(self, *, now: datetime) -> list[HistoryEntry]:
        """Append everything noted, in three statements however much it is, and forget it."""
        entries, contents, touched = [], [], {}
        for event in self._events:
            chain = self._chains[event.unit]
            entry, content = _append(chain, event, now, self._zone)
            entries.append(entry)
            contents.append(content)
            touched[chain.unit_id] = chain
        self._events = []
        if entries:
            HistoryEntry.objects.bulk_create(entries)
            HistoryContent.objects.bulk_create(contents)
            _move_heads(touched.values())
        return entries


def lock_units(units: Iterable[UUID], *, beside: Beside = nothing, at: datetime | None = None) -> Ledger:
    """Lock the chain row of every unit named, in key order, until the transaction ends.

    `beside` gives queries for the keys of further units, from the values `units` and `at`, resolved and locked in the
    same statement. Raises NotFound `unit_unknown` when one of the units named has no chain, and
    TransactionManagementError outside a transaction, where a lock would end at once.
    """
    if connection.get_autocommit():
        raise TransactionManagementError("units are locked within a transaction only")
    wanted = set(units)
    given = {"units": sorted(wanted)} | ({} if at is None else {"at": at})
    ledger = Ledger(_locking(beside, at is not None).fetch(given))
    if not wanted <= ledger.units:
        raise NotFound("unit_unknown")
    return ledger


@cache
def _locking(beside: Beside, timed: bool) -> CompiledObjects[UnitChain]:
    """The statement for one kind of neighbors, compiled once: every write about a unit begins with it."""

    def build(values: Values) -> QuerySet[UnitChain, UnitChain]:
        concerned = Q(KeyIn("unit_id", values["units"]))
        for query in beside(values):
            concerned |= Q(unit_id__in=query)
        # The carrier's zone comes with the lock: the days of keeping are its days, and cost no statement of their own.
        zone = Subquery(Carrier.objects.order_by("pk").values("time_zone")[:1])
        chains = UnitChain.objects.select_for_update(no_key=True, of=("self",)).annotate(carriers_zone=zone)
        return chains.filter(concerned).order_by("unit_id")

    first, second = ({"units": [UUID(int=day)], "at": datetime(9999, 1, day, tzinfo=UTC)} for day in (1, 2))
    return compile_objects(build, *(values if timed else {"units": values["units"]} for values in (first, second)))


def _move_heads(chains: Iterable[UnitChain]) -> None:
    """Store where the locked chains end now."""
    rows = [(chain.unit_id, chain.sequence, chain.head) for chain in chains]
    with connection.cursor() as cursor:
        cursor.execute(MOVE_HEADS, [list(column) for column in zip(*rows, strict=True)])


def _append(chain: UnitChain, event: _Event, now: datetime, zone: str) -> tuple[HistoryEntry, HistoryContent]:
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
    keeping = kept(event.kind, Happened(day_in_zone(max(event.performed_at, now), zone), event.said))
    return entry, HistoryContent(
        entry=entry, salt=salt, body=event.body, record_kind=keeping.record_kind, keep_until=keeping.until
    )
