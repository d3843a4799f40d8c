"""App configuration of what the carrier owns."""

from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Fleet"
