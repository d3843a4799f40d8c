"""What workorders gives out: the shop's orders, work and time, for those who keep the records."""

from collections.abc import Sequence

from fleet.selectors.exports.registry import add_tables
from fleet.selectors.exports.tables import KEEPERS_OF_RECORDS, ExportTable, model_table
from workorders import models

NOT_GIVEN_OUT = frozenset[str]()


def tables() -> Sequence[ExportTable]:
    """Return the tables of this app."""
    given = {
        "repair-orders": models.RepairOrder,
        "repair-tasks": models.RepairTask,
        "labor-entries": models.LaborEntry,
        "outside-repairs": models.OutsideRepair,
    }
    return [model_table(name, KEEPERS_OF_RECORDS, model) for name, model in given.items()]


add_tables(tables())
