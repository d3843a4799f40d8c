"""What the driver is answered: the rows one walk-around left behind, fresh or read back for a replay."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Exists, Model, OuterRef, Q, QuerySet, UUIDField

from common.compiled import KEYS, CompiledObjects, KeyIn, Parameter
from defects.models import Certificate, Hold, LimitedMove, Report, Sighting, Walkaround, WorkInProgress
from defects.models.moves import with_miles
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.catalogue.catalogue import catalogue_in_force
from fleet.enums import NotificationKind
from fleet.models import Notification, Unit
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.notifications.addresses import can_be_reached, open_webhook

R = TypeVar("R", bound=Model)


@dataclass(frozen=True)
class Receipt:
    """One walk-around with all it brought about.

    `holds` are those active on its units when it came in, which it placed or not; `work` is what the shop has under way
    on them and nobody signed paused. Of work, a replay has what goes on still. `permitted` are the limited
    moves that were permitted when it was performed, by unit.
    """

    walkaround: Walkaround
    reports: Sequence[Report]
    sightings: Sequence[Sighting]
    holds: Sequence[Hold]
    work: Sequence[WorkInProgress]
    permitted: Mapping[UUID, LimitedMove]
    certificates: Sequence[Certificate]
    notifications: Sequence[Notification]
    catalogue: Catalogue
    replayed: bool = False

    @property
    def loads_at_risk(self) -> list[UUID]:
        """The loads at risk that somebody was notified of."""
        notified = {
            notification.subject_id
            for notification in self.notifications
            if notification.kind == NotificationKind.LOAD_AT_RISK
        }
        return sorted(subject for subject in notified if subject is not None)

    @property
    def unknown_units(self) -> list[str]:
        """The units that nobody knows and on which a fault was reported, as they were named."""
        notified = {notification.subject_id for notification in self.notifications}
        return sorted(
            {report.given_unit for report in self.reports if report.unit_id is None and report.pk in notified}
        )

    @property
    def people(self) -> tuple[list[str], list[str]]:
        """The names of those who are notified at once of what was found, and of those whom no message can reach."""
        reached = {
            notification.person.name: _reached(notification)
            for notification in self.notifications
            if notification.urgent
        }
        return (
            sorted(name for name, is_reached in reached.items() if is_reached),
            sorted(name for name, is_reached in reached.items() if not is_reached),
        )


def _reached(notification: Any) -> bool:
    """`posted` stands on every notification that was just created or read for a receipt."""
    return can_be_reached(notification.person, posted=notification.posted)


def stored_receipt(walkaround: Walkaround, *, now: datetime) -> Receipt:
    """The receipt of a stored walk-around, worded by the catalogue in force now; one statement where it found nothing.

    A report whose unit was not known then counts from when somebody said which it is.
    """
    reports = _reports().fetch(walkaround=walkaround.pk)
    found, corrected, notified, barred = (
        any(getattr(report, name) for report in reports) for name in ("found", "corrected", "notified", "barred")
    )
    named = found or corrected or barred or any(report.corrects for report in reports)
    keys = [report.pk for report in reports]
    sightings = _rows(found, Sighting.objects.filter(report__in=keys).select_related("defect", "defect__unit"))
    brought = {
        report.unit_id: report.unit_assigned_at or walkaround.received_at for report in reports if report.unit_id
    }
    holds, work = _holds_and_work(brought, Q()) if barred else ([], [])
    of_people = Notification.objects.filter(caused_by=walkaround.pk).select_related("person")
    return Receipt(
        walkaround,
        reports,
        sightings,
        holds=[hold for hold in holds if _stood(hold, brought[hold.unit_id])],
        work=[item for item in work if item.since <= brought[item.unit_id]],
        permitted=permitted_moves(brought, walkaround.performed_at) if holds else {},
        certificates=_rows(corrected, Certificate.objects.filter(report__in=keys).select_related("defect")),
        notifications=_rows(notified, of_people.annotate(posted=open_webhook("person_id"))),
        # nothing else is worded by it
        catalogue=catalogue_in_force(effective_policies(now=now).policies if named else {}),
        replayed=True,
    )


@cache
def _reports() -> CompiledObjects[Report]:
    """The reports with their units, and whether each brought about rows of the kinds of a receipt."""
    reports = Report.objects.filter(walkaround=Parameter("walkaround", UUIDField())).annotate(
        found=Exists(Sighting.objects.filter(report=OuterRef("pk"))),
        corrected=Exists(Certificate.objects.filter(report=OuterRef("pk"))),
        notified=Exists(Notification.objects.filter(caused_by=OuterRef("walkaround_id"))),
        barred=Exists(Hold.objects.filter(unit=OuterRef("unit_id")))
        | Exists(WorkInProgress.objects.filter(unit=OuterRef("unit_id"))),
    )
    return CompiledObjects(reports.order_by("position"), "unit", also=("found", "corrected", "notified", "barred"))


def permitted_moves(units: Iterable[UUID], at: datetime) -> dict[UUID, LimitedMove]:
    """The limited moves that were permitted at an instant (396.7(b)), by unit, with their miles; one statement."""
    moves = LimitedMove.objects.filter(unit__in=list(units), approved_at__lte=at, ends_at__gt=at)
    still = Q(ended_at__isnull=True) | Q(ended_at__gt=at)
    return {move.unit_id: move for move in with_miles(moves.filter(still), at)}


def holds_and_work(units: Iterable[UUID]) -> tuple[list[Hold], list[WorkInProgress]]:
    """The active holds of units and the work that the shop has under way on them; one statement where none has any."""
    barred = [unit.pk for unit in _barred().fetch(units=list(units))]
    return _holds_and_work(barred, Q(lifted_at__isnull=True)) if barred else ([], [])


@cache
def _barred() -> CompiledObjects[Unit]:
    held = Hold.objects.filter(unit=OuterRef("pk"), lifted_at__isnull=True)
    in_shop = WorkInProgress.objects.filter(unit=OuterRef("pk"), undone="")
    units = Unit.objects.filter(Exists(held) | Exists(in_shop), KeyIn("pk", Parameter("units", KEYS)))
    return CompiledObjects(units.order_by())


def _holds_and_work(units: Iterable[UUID], which: Q) -> tuple[list[Hold], list[WorkInProgress]]:
    holds = Hold.objects.filter(which, unit__in=units).select_related("defect", "placed_by").order_by("number")
    work = WorkInProgress.objects.filter(unit__in=units, undone="").order_by("order_number", "pk")
    return list(holds), list(work)


def _rows(there: bool, rows: QuerySet[R], order: str = "pk") -> list[R]:
    """Read the rows in their order; no statement where it is known that there are none."""
    return list(rows.order_by(order)) if there else []


def _stood(hold: Hold, at: datetime) -> bool:
    """Whether it stood at that instant, whatever became of it since."""
    return hold.recorded_at <= at and (hold.lifted_at is None or hold.lifted_at > at)
