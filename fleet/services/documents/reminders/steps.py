"""Which step every paper that ends on the same day owes today, in chunks of end days. Writes nothing."""

import logging
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Count

from fleet.enums import InspectionProgram
from fleet.models import Document, Qualification
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd, stored_end
from fleet.rules.documents.qualified import PREFIX, qualification_kinds
from fleet.rules.documents.reminders import Reminder, reminder_now
from fleet.selectors.documents.status import PaperDay

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Rung:
    """Standing papers of one kind, program and pair of ends, how many there are, and what each of them owes today."""

    kind: DocumentKind
    program: str
    ends_on: date
    ends_on_month: date | None
    papers: int
    reminder: Reminder


@dataclass
class Chunk:
    """Rungs of consecutive end days, `first` to `last`, together about as many papers as one statement takes."""

    rungs: list[Rung] = field(default_factory=list)

    @property
    def first(self) -> date:
        """The earliest end day."""
        return self.rungs[0].ends_on

    @property
    def last(self) -> date:
        """The latest end day."""
        return self.rungs[-1].ends_on

    @property
    def papers(self) -> int:
        """How many papers the rungs stood for when they were counted."""
        return sum(rung.papers for rung in self.rungs)


def rungs_of(day: PaperDay) -> Iterator[Rung]:
    """Every group of standing papers that owes something on the day, the longest overdue first; in one statement."""
    kinds = load_document_kinds()
    longest = max([*(max(kind.lead_days) for kind in kinds.values()), *(max(lead) for lead in day.lead_times.values())])
    groups = (
        Document.objects.filter(replaced_at__isnull=True, ends_on__lte=day.today + timedelta(days=longest))
        .values_list("kind", "program", "ends_on", "ends_on_month")
        .annotate(papers=Count("pk"))
        .order_by("ends_on", "kind", "program", "ends_on_month")
    )
    for name, program, ends_on, ends_on_month, papers in groups:
        kind = kinds.get(name)
        if kind is None or ends_on is None:
            logger.error("papers of the kind %s remind of nothing: the catalogue has no such kind", name)
            continue
        end = stored_end(kind.rule, ends_on, ends_on_month, under_state_program=program == InspectionProgram.STATE)
        reminder = reminder_on(day, kind, end)
        if reminder is not None:
            yield Rung(kind, program, ends_on, ends_on_month, papers, reminder)


def rungs_of_qualifications(day: PaperDay) -> Iterator[Rung]:
    """The same of qualifications, those that something newer stands in for included; in one statement."""
    kinds = qualification_kinds()
    longest = max(max(kind.lead_days) for kind in kinds.values())
    groups = (
        Qualification.objects.filter(ends_on__lte=day.today + timedelta(days=longest))
        .values_list("scope", "ends_on")
        .annotate(held=Count("pk"))
        .order_by("ends_on", "scope")
    )
    for scope, ends_on, held in groups:
        kind = kinds.get(PREFIX + scope)
        if kind is None or ends_on is None:
            logger.error("qualifications %s remind of nothing: no such scope is known", scope)
            continue
        reminder = reminder_on(day, kind, PeriodEnd(ends_on))
        if reminder is not None:
            yield Rung(kind, "", ends_on, None, held, reminder)


def in_chunks(rungs: Iterable[Rung], size: int) -> Iterator[Chunk]:
    """Whole end days together until they hold `size` papers; a day that alone holds more is a chunk by itself."""
    chunk = Chunk()
    for rung in rungs:
        if chunk.rungs and rung.ends_on != chunk.last and chunk.papers >= size:
            yield chunk
            chunk = Chunk()
        chunk.rungs.append(rung)
    if chunk.rungs:
        yield chunk


def reminder_on(day: PaperDay, kind: DocumentKind, end: PeriodEnd) -> Reminder | None:
    """What a paper of a kind that ends so reminds of on a day, as the carrier decides; None when of nothing."""
    return reminder_now(
        end,
        day.today,
        reading=day.reading,
        lead_days=day.lead_times.get(kind.name, kind.lead_days),
        overdue_every_days=kind.overdue_every_days,
        overdue_for_days=kind.overdue_for_days,
    )
