"""Mountings out of a table: a mounting is named by its trailer and cooling unit. An open one is left alone."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from common.clock import refuse_future
from fleet.enums import RowOutcome
from fleet.models import Mounting
from fleet.services.imports.plan import ColumnProblem, ImportRow, Plan, Refused, RowReport, batches
from fleet.services.imports.references import UnitsNamed
from fleet.services.units.mountings import record_mountings, refuse_unfit


class MountingPlan(Plan):
    """Which cooling units a table sets on which trailers."""

    def read(self, rows: Sequence[ImportRow]) -> None:
        self._new: list[tuple[UUID, UUID, datetime]] = []
        self._units = UnitsNamed(rows, self.context, ("trailer", "cooling_unit"))
        keys = [unit.pk for unit in self._units.all]
        self._of_unit: dict[UUID, list[Mounting]] = {key: [] for key in keys}
        for mounting in Mounting.objects.filter(Q(trailer_id__in=keys) | Q(cooling_unit_id__in=keys)).order_by("pk"):
            for unit in {mounting.trailer_id, mounting.cooling_unit_id} & self._of_unit.keys():
                self._of_unit[unit].append(mounting)

    def write(self) -> None:
        for rows in batches(self._new):
            record_mountings(self._units.work, rows)
            self._units.work.write()

    def judge(self, row: ImportRow) -> RowReport:
        """A mounting is recorded, or there already."""
        trailer, cooling_unit = self._units.of(row, "trailer"), self._units.of(row, "cooling_unit")
        started_at = row.values["started_at"]
        if not isinstance(started_at, datetime):
            raise TypeError(row.number)
        refuse_unfit(trailer, cooling_unit)
        refuse_future(started_at, self.context.now, "/started_at")
        for unit in (trailer, cooling_unit):
            self.named.add(unit.pk, row.number)
        name = f"{trailer}: {cooling_unit}"
        for known in (*self._of_unit[trailer.pk], *self._of_unit[cooling_unit.pk]):
            ends = known.span.upper
            if ends is None and _pair(known) == (trailer.pk, cooling_unit.pk) and known.span.lower == started_at:
                return RowReport(row.number, RowOutcome.UNCHANGED, name, known.pk)
            if ends is None or ends > started_at:
                raise Refused(ColumnProblem("", "already_mounted"))
        self._new.append((trailer.pk, cooling_unit.pk, started_at))
        return RowReport(row.number, RowOutcome.CREATED, name)


def _pair(mounting: Mounting) -> tuple[UUID, UUID]:
    return mounting.trailer_id, mounting.cooling_unit_id
