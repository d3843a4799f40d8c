"""What reminds on a day, in batches: documents by their end, qualifications, what is missing. Writes nothing."""

import logging
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Exists, Q

from common.messages import Message
from fleet.enums import NotificationKind, Role
from fleet.messages.documents.reminders import kind_code
from fleet.models import Document, Person, Qualification, Site, Unit
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.qualified import PREFIX, qualification_kinds
from fleet.selectors.documents.status import DocumentDay, end_of, newer_qualifications
from fleet.services.documents.reminders.missing import missing_of_carrier, missing_of_units, needs_in_force
from fleet.services.documents.reminders.wording import reminder_facts, reminder_on, whose
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, find_recipients

logger = logging.getLogger(__name__)

FIRST = UUID(int=0)

_READ = (
    *("kind", "program", "us_state", "ends_on", "ends_on_month"),
    *("unit__number", "unit__owner", "unit__home_site", "person__name", "person__home_site"),
)
"""The columns of a document, its unit and its person that a reminder needs."""

Recipients = Mapping[UUID | None, Sequence[UUID]]
"""The people to notify of what belongs to a site, or to none."""


@dataclass(frozen=True, slots=True)
class Place:
    """After which document, by end day and key, or after which unit once all documents are done (no day)."""

    day: date | None = date.min
    key: UUID = FIRST


@dataclass(frozen=True, slots=True)
class Batch:
    """What to notify of, over how many documents or units, and the last of them."""

    drafts: Sequence[NotificationDraft]
    looked_at: int
    place: Place


def batches(day: DocumentDay, begin: Place, *, now: datetime, size: int) -> Iterator[Batch]:
    """Every batch from a place on, the longest overdue documents first."""
    compliance = _compliance(now)
    needs = needs_in_force(now=now)
    if begin.day is not None:
        yield from _documents(day, begin.day, begin.key, compliance, size)
        held = _qualifications(day, compliance)
        yield Batch([*held, *missing_of_carrier(needs, day, compliance[None])], len(held), Place(None))
    after = FIRST if begin.day is not None else begin.key
    while units := list(Unit.objects.filter(retired_on__isnull=True, pk__gt=after).order_by("pk")[:size]):
        after = units[-1].pk
        yield Batch(missing_of_units(units, needs, day, compliance), len(units), Place(None, after))


def _compliance(now: datetime) -> Recipients:
    """Whoever holds compliance at each site or everywhere, else anybody who holds it at all; in two statements."""
    sites = [None, *Site.objects.order_by("pk").values_list("pk", flat=True)]
    people = find_recipients([RecipientGroup(Role.COMPLIANCE, site) for site in sites], now=now)
    return {site: [person.pk for person in people[RecipientGroup(Role.COMPLIANCE, site)]] for site in sites}


def _documents(day: DocumentDay, after: date, key: UUID, compliance: Recipients, size: int) -> Iterator[Batch]:
    kinds = load_document_kinds()
    due = (
        Document.objects.filter(
            superseded_at__isnull=True,
            unit__retired_on__isnull=True,
            person__left_on__isnull=True,
            ends_on__lte=_last_end(day, kinds),
        )
        .select_related("unit", "person")
        .only(*_READ)
        .order_by("ends_on", "pk")
    )
    while rows := list(due.filter(Q(ends_on__gt=after) | Q(ends_on=after, pk__gt=key))[:size]):
        after, key = rows[-1].ends_on or after, rows[-1].pk
        for unknown in {row.kind for row in rows} - kinds.keys():
            logger.error("documents of the kind %s remind of nothing: the catalogue has no such kind", unknown)
        drafts = [_draft(day, kinds[row.kind], end_of(row), row, compliance) for row in rows if row.kind in kinds]
        yield Batch([draft for draft in drafts if draft is not None], len(rows), Place(after, key))


def _qualifications(day: DocumentDay, compliance: Recipients) -> list[NotificationDraft]:
    """Of all that nothing newer stands in for: people have few."""
    kinds = qualification_kinds()
    due = (
        Qualification.objects.filter(
            ~Exists(newer_qualifications()), person__left_on__isnull=True, ends_on__lte=_last_end(day, kinds)
        )
        .select_related("person")
        .order_by("ends_on", "pk")
    )
    drafts = [
        _draft(day, kinds[PREFIX + row.scope], PeriodEnd(row.ends_on), row, compliance)
        for row in due
        if PREFIX + row.scope in kinds
    ]
    return [draft for draft in drafts if draft is not None]


def _last_end(day: DocumentDay, kinds: Mapping[str, DocumentKind]) -> date:
    """The last end of which anything reminds on this day."""
    lead = [*(max(kind.lead_days) for kind in kinds.values()), *(max(lead) for lead in day.lead_times.values())]
    return day.today + timedelta(days=max(lead))


def _draft(
    day: DocumentDay, kind: DocumentKind, end: PeriodEnd, row: Document | Qualification, compliance: Recipients
) -> NotificationDraft | None:
    """What a document or a qualification reminds of: compliance at its site, and its person."""
    reminder = reminder_on(day, kind, end)
    if reminder is None:
        return None
    unit: Unit | None = None
    document = Message(kind_code(kind.name))
    if isinstance(row, Document):
        unit = row.unit
        if row.us_state:
            document = Message("document_of_state", {"document": document, "us_state": row.us_state})
    holder: Unit | Person | None = unit or row.person
    own = [] if row.person_id is None else [row.person_id]
    return NotificationDraft(
        kind=NotificationKind.DOCUMENT_ENDING,
        code=reminder.code,
        subject=row.pk,
        people=[*compliance[None if holder is None else holder.home_site_id], *own],
        facts={"document": document, **reminder_facts(kind, reminder), "whose": whose(holder)},
        unit=None if unit is None else unit.pk,
        step=reminder.step,
    )
