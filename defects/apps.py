"""App configuration of what drivers find: its sentences and check, what it listens to, sweeps and files."""

from importlib import import_module

from django.apps import AppConfig
from django.core.checks import register

import defects.kept_records
import defects.messages  # noqa: F401 - registers the sentences when imported
from defects.checks import check_catalogue

SECTIONS = ("reports", "faults", "roadside", "barred")
"""Modules that add sections to a unit's file."""


class DefectsConfig(AppConfig):
    """The app as Django sees it."""

    name = "defects"
    verbose_name = "Defects"

    def ready(self) -> None:
        """Refuse to start with a point catalogue that nobody could judge by; listen, sweep, list what is given out."""
        register(check_catalogue)
        import_module("defects.receivers")
        import_module("defects.sweeps")
        import_module("defects.notice_endings")
        import_module("defects.purging")
        for module in SECTIONS:
            import_module(f"defects.unit_file.{module}")
        import_module("defects.selectors.exports")
        import_module("defects.selectors.audit_gaps")
        import_module("defects.selectors.recounts")
