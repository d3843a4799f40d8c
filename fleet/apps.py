"""App configuration of what the carrier owns; its sentences are registered when it is imported."""

from importlib import import_module

from django.apps import AppConfig
from django.core.checks import register

import fleet.kept_records
import fleet.messages  # noqa: F401 - registers the sentences when imported
from fleet.checks import check_mail_server, log_mail_server

SECTIONS = ("identity", "documents", "running", "history")
"""Modules that add sections to a unit's file."""


class FleetConfig(AppConfig):
    """The app as Django sees it."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Add fleet's sections to a unit's file and what it finds missing there; say where no letter can leave."""
        import_module("fleet.services.documents.reminders.today")
        register(check_mail_server, deploy=True)
        log_mail_server()
        for module in SECTIONS:
            import_module(f"fleet.selectors.records.unit_file.{module}")
        import_module("fleet.selectors.records.audit_gaps")
        import_module("fleet.selectors.records.recounts")
