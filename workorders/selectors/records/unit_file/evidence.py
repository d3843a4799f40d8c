"""The section of evidence: what qualifies those who inspected the unit (396.19) or worked on its brakes (396.25)."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.enums import Scope
from fleet.messages.people import SCOPES
from fleet.models import Document, Person, Qualification
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section
from workorders.models import RepairTask

SHOWN = (Scope.PERIODIC_INSPECTION, Scope.BRAKES_INSPECT, Scope.BRAKES_ADJUST, Scope.BRAKES_REPAIR)


def read(scope: FileScope) -> Iterator[Record]:
    """The evidence of everybody concerned, whatever days were asked for: it is kept as long as they do the work."""
    evidence = Qualification.objects.filter(person__in=_concerned(scope.unit.pk), scope__in=SHOWN)
    for row in evidence.select_related("person").order_by("person__name", "scope", "starts_on", "pk").iterator(CHUNK):
        yield {
            "id": row.pk,
            "person": person_record(row.person),
            "scope": row.scope,
            "evidence": row.evidence,
            "starts_on": row.starts_on,
            "ends_on": row.ends_on,
        }


def _concerned(unit: UUID) -> QuerySet[Person]:
    """Those who led or did brake work on the unit, and those whom its inspection reports name."""
    tasks = RepairTask.objects.filter(order__unit=unit, scope__in=(Scope.BRAKES_REPAIR, Scope.BRAKES_ADJUST))
    inspectors = Document.objects.filter(unit=unit, kind="periodic_inspection").exclude(inspector="")
    return Person.objects.filter(
        Q(repair_tasks_led__in=tasks)
        | Q(labor__task__in=tasks)
        | Q(certificates_worked__defect__repair_tasks__in=tasks)
        | Q(name__in=inspectors.values("inspector"))
    ).distinct()


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Who, for what, from when until when, on what evidence."""
    days = f"{record['starts_on']} - {record['ends_on'] or _('until now')}"
    yield words.person(record["person"]), words.label(SCOPES, record["scope"]), days, record["evidence"]


QUALIFICATIONS = Section(
    name="qualifications",
    place=170,
    title=gettext_lazy("Evidence of inspectors and brake mechanics"),
    source="49 CFR 396.19(b), 396.25(e)",
    empty=gettext_lazy("None recorded for those who worked on the unit."),
    read=read,
    columns=(
        Column(gettext_lazy("Person"), 0.25),
        Column(gettext_lazy("For"), 0.2),
        Column(gettext_lazy("Days"), 0.22),
        Column(gettext_lazy("Evidence"), 0.33),
    ),
    rows=rows,
    note=gettext_lazy("People of outside firms and of State programs are not listed: others keep their evidence."),
)
