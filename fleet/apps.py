"""App configuration of what the carrier owns; its sentences are registered when it is imported."""

from importlib import import_module

from django.apps import AppConfig

import fleet.kept_records
import fleet.messages  # noqa: F401 - registers the sentences when imported

SECTIONS = ("identity", "papers", "running", "history")
"""Modules that add sections to a unit's file."""


class FleetConfig(AppConfig):
    """The app as Django sees it."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Add fleet's sections to a unit's file and what it finds missing there, once the tables are there."""
        for module in SECTIONS:
            import_module(f"fleet.unit_file.{module}")
        import_module("fleet.selectors.audit_gaps")
