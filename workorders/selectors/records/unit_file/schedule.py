"""The schedule: the nature and due date of what is to be inspected and maintained next, as 396.3(b)(2) asks for it."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.enums import CertificateKind, DefectState
from defects.models import Certificate
from defects.selectors.defects.naming import names_of_defect
from fleet.models import Document
from fleet.rules.documents.loading import load_document_kinds
from fleet.selectors.documents.status import document_day
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section
from workorders.enums import TaskState
from workorders.models import RepairTask


def active_deferrals(unit: UUID) -> QuerySet[Certificate]:
    """The certificates in force by which a repair on the unit may wait until a limit."""
    return (
        Certificate.objects.filter(
            current_for__isnull=False,
            defect__unit=unit,
            defect__state=DefectState.DEFERRED,
            kind=CertificateKind.REPAIR_UNNECESSARY,
        )
        .select_related("defect")
        .order_by("limit_on", "pk")
    )


def read(scope: FileScope) -> Iterator[Record]:
    """Inspections and documents that come to their end, repair put off until a limit, and work on active orders."""
    day = document_day(now=scope.now)
    documents = Document.objects.filter(unit=scope.unit, superseded_at__isnull=True).order_by("ends_on", "pk")
    for document in documents.iterator(CHUNK):
        kind, last = load_document_kinds().get(document.kind), day.last_day(document)
        if last is not None:
            title = {"en": document.kind} if kind is None else kind.text
            yield _due("document", title, on=last, subject=document.pk)
    for certificate in active_deferrals(scope.unit.pk).iterator(CHUNK):
        yield _deferral(certificate)
    tasks = RepairTask.objects.active().filter(order__unit=scope.unit).select_related("order")
    for task in tasks.order_by("opened_at", "pk").iterator(CHUNK):
        at = task.road_test_at if task.state == TaskState.NOT_REPRODUCED else task.order.expected_at
        yield _due("repair", {"en": task.complaint}, at=at, subject=task.pk, order=task.order.number)


def _deferral(certificate: Certificate) -> Record:
    return _due(
        "deferred_repair",
        names_of_defect(certificate.defect),
        on=certificate.limit_on,
        miles=certificate.limit_mi,
        engine_h=certificate.limit_engine_h,
        subject=certificate.pk,
        order=certificate.defect.order_number,
    )


def _due(nature: str, what: object, **due: object) -> Record:
    nothing: dict[str, object] = {"on": None, "at": None, "miles": None, "engine_h": None, "order": None}
    return {"nature": nature, "what": what, **nothing, **due}


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """What is due, and when by date, miles or hours."""
    natures = {"document": _("inspection or document"), "deferred_repair": _("deferred repair"), "repair": _("repair")}
    miles, hours = record["miles"], record["engine_h"]
    due = filter(
        None,
        (
            record["on"],
            words.instant(record["at"]),
            miles and _("{miles} miles").format(miles=miles),
            hours and _("{hours} engine hours").format(hours=hours),
        ),
    )
    order = _("repair order {order}").format(order=record["order"]) if record["order"] else ""
    yield natures[record["nature"]], words.either(record["what"]), ", ".join(due) or _("no expected time"), order


SCHEDULE = Section(
    name="schedule",
    place=20,
    title=gettext_lazy("Inspections and maintenance to come"),
    source="49 CFR 396.3(b)(2)",
    empty=gettext_lazy("None recorded."),
    read=read,
    columns=(
        Column(gettext_lazy("Nature"), 0.2),
        Column(gettext_lazy("What"), 0.42),
        Column(gettext_lazy("Due"), 0.22),
        Column(gettext_lazy("Order"), 0.16),
    ),
    rows=rows,
    note=gettext_lazy("As of now. This service does not record scheduled maintenance yet."),
)
