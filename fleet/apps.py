"""App configuration of what the carrier owns; its sentences are registered when it is imported."""

from django.apps import AppConfig

import fleet.kept_records
import fleet.messages  # noqa: F401 - registers the sentences when imported


class FleetConfig(AppConfig):
    """The app as Django sees it."""

    name = "fleet"
    verbose_name = "Fleet"
