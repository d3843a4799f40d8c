"""App configuration of what drivers find; its sentences are registered when it is imported."""

from django.apps import AppConfig

import defects.messages  # noqa: F401 - registers the sentences when imported


class DefectsConfig(AppConfig):
    """The app as Django sees it."""

    name = "defects"
    verbose_name = "Defects"
