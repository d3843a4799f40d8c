"""App configuration of what the shop does."""

from django.apps import AppConfig

import workorders.messages  # noqa: F401 - registers the sentences when imported


class WorkordersConfig(AppConfig):
    """The app as Django sees it."""

    name = "workorders"
    verbose_name = "Repair orders"
