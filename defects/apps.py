"""App configuration of what drivers find."""

from importlib import import_module

from django.apps import AppConfig
from django.core.checks import register

from defects.checks import check_catalogue


class DefectsConfig(AppConfig):
    """Registers what must hold before the service starts."""

    name = "defects"
    verbose_name = "Defects"

    def ready(self) -> None:
        """Refuse to start with a point catalogue that nobody could judge by; listen to what others announce."""
        register(check_catalogue)
        import_module("defects.receivers")
