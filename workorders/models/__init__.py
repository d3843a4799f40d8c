"""The tables of what the shop does."""

from workorders.models.orders import LaborEntry, OutsideRepair, RepairOrder, RepairTask

__all__ = ["LaborEntry", "OutsideRepair", "RepairOrder", "RepairTask"]
