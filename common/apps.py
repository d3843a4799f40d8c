"""Tells Django about the package: it has no models, but sentences to register and a check of the views."""

from collections.abc import Callable

from django.apps import AppConfig
from django.core import checks
from django.utils.module_loading import import_string

import common.sentences  # noqa: F401 - registers the sentences when imported


class CommonConfig(AppConfig):
    """The package as Django sees it."""

    name = "common"

    def ready(self) -> None:
        """Hook the check of the views in."""
        checks.register(check_views, checks.Tags.urls)


def check_views(app_configs: object, **_: object) -> list[checks.CheckMessage]:
    """Return an error for each view that does not say who may call it; only where the whole service is checked."""
    # named, not imported above: views can be imported only once the models of every app are there
    service_faults: Callable[[], list[str]] = import_string("common.api.checks.service_faults")
    return [checks.Error(fault, id="common.E001") for fault in service_faults()] if app_configs is None else []
