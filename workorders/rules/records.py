"""How long the entries are kept that the shop writes into a unit's history: all of it is maintenance (396.3)."""

from fleet.rules.records.retention import Retention, as_kind

RETENTIONS = (
    Retention(
        as_kind("maintenance"),
        (
            "labor_ended",
            "labor_paused",
            "labor_started",
            "outside_repair_recorded",
            "repair_order_assigned",
            "repair_order_cancelled",
            "repair_order_closed",
            "repair_order_opened",
            "expected_time_set",
            "repair_order_resumed",
            "repair_order_started",
            "repair_order_waiting",
            "repair_order_work_done",
            "repair_task_assigned",
            "repair_task_cancelled",
            "repair_task_done",
            "repair_task_not_reproduced",
            "repair_task_opened",
            "repair_task_paused",
            "repair_task_renamed",
            "repair_task_started",
        ),
    ),
)
