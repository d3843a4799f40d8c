"""App configuration of what the shop does."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """The app as Django sees it."""

    name = "workorders"
    verbose_name = "Repair orders"
