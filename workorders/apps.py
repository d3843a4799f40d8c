"""App configuration of what the shop does."""

from importlib import import_module

from django.apps import AppConfig


class WorkordersConfig(AppConfig):
    """Listens to what others announce, once every app's models are there."""

    name = "workorders"
    verbose_name = "Repair orders"

    def ready(self) -> None:
        """Register the sentences, how long entries are kept, and the receivers."""
        import_module("workorders.kept_records")
        import_module("workorders.messages")
        import_module("workorders.receivers")
