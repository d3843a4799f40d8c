"""Mountings out of a table: a mounting is named by its trailer and cooling unit. One that stands is left alone."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Q

from common.errors import DomainError
from fleet.enums import RowOutcome, UnitKind
from fleet.models import Mounting, Unit
from fleet.selectors.units.lookup import resolve_units
from fleet.services.imports.given_rows import (
    ColumnProblem,
    GivenRow,
    Named,
    Refused,
    RowReport,
    Scene,
    batches,
    judged,
    refusal,
)
from fleet.services.records.instants import refuse_future
from fleet.services.records.unit_of_work import begin_work
from fleet.services.units.mountings import record_mounting, refuse_other_kind

KINDS = {
    "trailer": (UnitKind.TRAILER, "not_a_trailer"),
    "cooling_unit": (UnitKind.COOLING_UNIT, "not_a_cooling_unit"),
}


class MountingPlan:
    """Which cooling units a table sets on which trailers."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        self._scene = scene
        refs = {str(row.values[column]) for row in rows if not row.problems for column in KINDS}
        keys = [unit.pk for unit in resolve_units(refs).values()]
        self._work = begin_work(keys if scene.locking else (), actor=scene.actor, now=scene.now)
        self._units = resolve_units(refs)
        self._of_unit: dict[UUID, list[Mounting]] = {key: [] for key in keys}
        for mounting in Mounting.objects.filter(Q(trailer_id__in=keys) | Q(cooling_unit_id__in=keys)).order_by("pk"):
            for unit in {mounting.trailer_id, mounting.cooling_unit_id} & self._of_unit.keys():
                self._of_unit[unit].append(mounting)
        self._named = Named()
        self._new: list[Mounting] = []
        self.reports = judged(rows, self._judge)

    def write(self) -> None:
        """Record them with the units' histories."""
        for rows in batches(self._new):
            for row in Mounting.objects.bulk_create(rows):
                record_mounting(self._work, "mounted", row, row.span.lower)
            self._work.write()

    def _judge(self, row: GivenRow) -> RowReport:
        trailer, cooling_unit = (self._unit(str(row.values[column]), column) for column in KINDS)
        started_at = row.values["started_at"]
        if not isinstance(started_at, datetime):
            raise TypeError(row.number)
        try:
            for column, unit in (("trailer", trailer), ("cooling_unit", cooling_unit)):
                refuse_other_kind(unit, KINDS[column][0], f"/{column}", KINDS[column][1])
            refuse_future(started_at, self._scene.now, "/started_at")
        except DomainError as error:
            raise refusal(error) from error
        for unit in (trailer, cooling_unit):
            self._named.add(unit.pk, row.number)
        name = f"{trailer}: {cooling_unit}"
        for standing in (*self._of_unit[trailer.pk], *self._of_unit[cooling_unit.pk]):
            ends = standing.span.upper
            if ends is None and _pair(standing) == (trailer.pk, cooling_unit.pk) and standing.span.lower == started_at:
                return RowReport(row.number, RowOutcome.UNCHANGED, name, standing.pk)
            if ends is None or ends > started_at:
                raise Refused(ColumnProblem("", "already_mounted"))
        self._new.append(
            Mounting(
                trailer_id=trailer.pk,
                cooling_unit_id=cooling_unit.pk,
                span=DateTimeTZRange(started_at, None),
                recorded_at=self._scene.now,
                recorded_by=self._scene.actor,
            )
        )
        return RowReport(row.number, RowOutcome.CREATED, name)

    def _unit(self, ref: str, column: str) -> Unit:
        unit = self._units.get(ref)
        if unit is None:
            raise Refused(ColumnProblem(column, "unit_unknown"))
        return unit


def _pair(mounting: Mounting) -> tuple[UUID, UUID]:
    return mounting.trailer_id, mounting.cooling_unit_id
