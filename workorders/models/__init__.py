"""The tables of what the shop does."""

from workorders.models.labor import LaborEntry
from workorders.models.orders import OrderQuerySet, RepairOrder
from workorders.models.outside_work import OutsideRepair
from workorders.models.tasks import RepairTask, TaskQuerySet

__all__ = ["LaborEntry", "OrderQuerySet", "OutsideRepair", "RepairOrder", "RepairTask", "TaskQuerySet"]
