"""The unit of work: every write about units locks them first, moves and saves rows, and ends with their history."""

import secrets
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache, cached_property
from typing import Any, Protocol, Self
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Model, Q, QuerySet, Subquery
from django.db.transaction import TransactionManagementError

from common.canonical import canonical_json
from common.clock import day_in_zone
from common.compiled import KEYS, CompiledObjects, KeyIn, Parameter, insert
from common.errors import NotFound
from common.transitions import Stateful, TransitionTable
from fleet.models import Carrier, HistoryContent, HistoryEntry, Person, UnitChain
from fleet.rules.records.chain import Link, content_hash, entry_hash
from fleet.rules.records.retention import Happened
from fleet.selectors.carrier.carrier import BEFORE_THE_CARRIER, EffectivePolicies, effective_policies
from fleet.selectors.records.retention import retention_of

Beside = Callable[[], Iterable[QuerySet[Any, UUID]]]


def nothing() -> tuple[()]:
    return ()


MOVE_HEADS = """
UPDATE fleet_unitchain SET sequence = moved.sequence, head = moved.head
  FROM json_populate_recordset(NULL::fleet_unitchain, %s) AS moved
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


class Versioned(Protocol):
    """A row that counts its changes."""

    version: int

    def save(self, *, update_fields: Iterable[str]) -> None:
        """Save these columns."""


class UnitOfWork:
    """The locked chains of some units, who acts on them and when, and what is to be written into their history."""

    def __init__(self, chains: Iterable[UnitChain], actor: Person | None, now: datetime) -> None:
        self._chains = {chain.unit_id: chain for chain in chains}
        zones = (getattr(chain, "carriers_zone", None) for chain in self._chains.values())
        self._zone: str = next((zone for zone in zones if zone), BEFORE_THE_CARRIER)
        self._events: list[_Event] = []
        self._actor = actor
        self.now = now

    @classmethod
    def begin(
        cls,
        units: Iterable[UUID],
        *,
        beside: Beside = nothing,
        at: datetime | None = None,
        actor: Person | None,
        now: datetime,
    ) -> Self:
        """Lock units inside a transaction of the caller's, who calls `write` at its end. See `unit_of_work`."""
        wanted = list(units)
        return cls(lock_units(wanted, beside=beside, at=at) if wanted else (), actor, now)

    @property
    def units(self) -> frozenset[UUID]:
        return frozenset(self._chains)

    @property
    def actor(self) -> Person:
        """Who acts; ValueError where nobody does, for a periodic job acts by itself."""
        if self._actor is None:
            msg = "nobody acts in this unit of work"
            raise ValueError(msg)
        return self._actor

    @cached_property
    def in_force(self) -> EffectivePolicies:
        """The carrier's zone and the policies in force now; one statement. NotFound `carrier_missing`."""
        return effective_policies(now=self.now)

    def day(self, instant: datetime) -> date:
        """Return the carrier's calendar day of an instant."""
        return day_in_zone(instant, self.in_force.zone)

    @property
    def roles(self) -> frozenset[str]:
        """The roles of the actor that count here: all, where nothing narrower is said."""
        return self.actor.current_roles

    def move(self, table: TransitionTable, row: Stateful, action: str, given: Collection[str] = ()) -> None:
        """Set the state that the table gives for an action of the actor, or refuse as `TransitionTable.move` does."""
        table.move(row, action, self.roles, given)

    def save(self, row: Versioned, *fields: str) -> None:
        """Save these fields of a locked row, as its next version."""
        row.version += 1
        row.save(update_fields=[*fields, "version"])

    def record(
        self,
        unit: UUID,
        kind: str,
        *,
        subject: UUID | None,
        body: Mapping[str, object],
        performed_at: datetime | None = None,
        actor: Person | None = None,
    ) -> None:
        """Note one thing that happened to a locked unit, now and by the actor where nothing else is said.

        KeyError for a unit that is not locked.
        """
        if unit not in self._chains:
            raise KeyError(unit)
        by = self._actor if actor is None else actor
        said = canonical_json(body).decode()
        key = None if by is None else by.pk
        self._events.append(_Event(unit, kind, subject, performed_at or self.now, key, body, said))

    def write(self, rows: Iterable[Model] = ()) -> list[HistoryEntry]:
        """Append everything noted, in one statement however much it is, and forget it; `rows` are inserted with it."""
        entries: list[HistoryEntry] = []
        contents, touched = [], {}
        for event in self._events:
            chain = self._chains[event.unit]
            entry, content = _append(chain, event, self.now, self._zone)
            entries.append(entry)
            contents.append(content)
            touched[chain.unit_id] = chain
        self._events = []
        insert([*rows, *entries, *contents], then=MOVE_HEADS if entries else "", of=list(touched.values()))
        return entries


@contextmanager
def unit_of_work(
    units: Iterable[UUID] = (),
    *,
    beside: Beside = nothing,
    at: datetime | None = None,
    actor: Person | None,
    now: datetime,
) -> Iterator[UnitOfWork]:
    """One transaction: units locked as `lock_units` does, and their history written when it is left without error.

    Without units nothing is locked: for rows of people and the carrier, which have no history. NotFound
    `unit_unknown`.
    """
    with transaction.atomic():
        work = UnitOfWork.begin(units, beside=beside, at=at, actor=actor, now=now)
        yield work
        work.write()


def lock_units(units: Iterable[UUID], *, beside: Beside = nothing, at: datetime | None = None) -> Sequence[UnitChain]:
    """Lock the chain row of every unit named, in key order, until the transaction ends.

    `beside` gives queries for the keys of further units, over the values `units` and `at`, resolved and locked in the
    same statement. Raises NotFound `unit_unknown` when one of the units named has no chain, and
    TransactionManagementError outside a transaction, where a lock would end at once.
    """
    if connection.get_autocommit():
        raise TransactionManagementError("units are locked within a transaction only")
    wanted = set(units)
    chains = locking_statement(beside).fetch(units=sorted(wanted), at=at)
    if not wanted <= {chain.unit_id for chain in chains}:
        raise NotFound("unit_unknown")
    return chains


@cache
def locking_statement(beside: Beside) -> CompiledObjects[UnitChain]:
    """The statement for one kind of neighbors, compiled once: every write about a unit begins with it."""
    named = UnitChain.objects.filter(KeyIn("unit_id", Parameter("units", KEYS))).values_list("unit_id", flat=True)
    concerned = Q(unit_id__in=named.union(*beside()))  # joined by OR, every chain would be read
    # The carrier's zone comes with the lock: retention is counted in its days, and costs no statement of their own.
    zone = Subquery(Carrier.objects.order_by("pk").values("time_zone")[:1])
    chains = UnitChain.objects.select_for_update(no_key=True).annotate(carriers_zone=zone)
    return CompiledObjects(chains.filter(concerned).order_by("unit_id"), also=("carriers_zone",))


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
    keeping = retention_of(event.kind, Happened(day_in_zone(max(event.performed_at, now), zone), event.said))
    return entry, HistoryContent(
        entry=entry, salt=salt, body=event.body, record_kind=keeping.record_kind, retained_until=keeping.until
    )
