"""App configuration of what the shop does."""

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    name = "workorders"
    verbose_name = "Repair orders"
