"""App configuration of what drivers find."""

from django.apps import AppConfig
from django.core.checks import register

from defects.selectors.catalogue.checks import check_catalogue


class DefectsConfig(AppConfig):
    """The app as Django sees it."""

    name = "defects"
    verbose_name = "Defects"

    def ready(self) -> None:
        """Refuse to start with a point catalogue that nobody could judge by."""
        register(check_catalogue)
