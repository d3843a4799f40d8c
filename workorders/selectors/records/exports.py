"""What workorders gives out: the shop's orders, work and time, for those who keep the records."""

from collections.abc import Mapping, Sequence

from django.db.models import F
from django.db.models.expressions import Combinable

from fleet.selectors.records.exports.tables import KEEPERS_OF_RECORDS, ExportTable, ExportTables, model_table, unit_name
from workorders import models

MORE: Mapping[str, Mapping[str, str | Combinable]] = {
    "repair-tasks": {"unit": unit_name("order__unit")},
    "labor-entries": {"order": "task__order__number", "unit": unit_name("task__order__unit")},
    "outside-repairs": {"unit": unit_name("order__unit")},
}
"""The unit and the order that rows without one of their own are about."""


def tables() -> Sequence[ExportTable]:
    given = {
        "repair-orders": models.RepairOrder,
        "repair-tasks": models.RepairTask,
        "labor-entries": models.LaborEntry,
        "outside-repairs": models.OutsideRepair,
    }
    return [model_table(name, KEEPERS_OF_RECORDS, model, more=MORE.get(name)) for name, model in given.items()]


EXPORTS = ExportTables(tables, {"workorders.repairorder": lambda path: F(f"{path}__number")})
