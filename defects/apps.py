"""App configuration of what drivers find."""

from django.apps import AppConfig


class DefectsConfig(AppConfig):
    name = "defects"
    verbose_name = "Defects"
