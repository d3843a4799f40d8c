"""The tables of what the shop does."""

from workorders.models.orders import OrderQuerySet, RepairOrder, RepairTask, TaskQuerySet
from workorders.models.work import LaborEntry, OutsideRepair

__all__ = ["LaborEntry", "OrderQuerySet", "OutsideRepair", "RepairOrder", "RepairTask", "TaskQuerySet"]
