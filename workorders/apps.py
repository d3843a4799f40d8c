"""App configuration of what the shop does."""

from importlib import import_module

from django.apps import AppConfig

SECTIONS = ("due", "repairs", "skilled")
"""Modules that add sections to a unit's file."""


class WorkordersConfig(AppConfig):
    """Listens to what others announce, once every app's models are there."""

    name = "workorders"
    verbose_name = "Repair orders"

    def ready(self) -> None:
        """Register the sentences, how long entries are kept, the receivers and the sections of a unit's file."""
        import_module("workorders.kept_records")
        import_module("workorders.messages")
        import_module("workorders.receivers")
        import_module("workorders.notice_endings")
        for module in SECTIONS:
            import_module(f"workorders.unit_file.{module}")
        import_module("workorders.selectors.exports")
        import_module("workorders.selectors.audit_gaps")
