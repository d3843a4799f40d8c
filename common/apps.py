"""Tells Django about the package: no models, but checks of the views and the database."""

from collections.abc import Callable, Sequence

from django.apps import AppConfig
from django.core import checks
from django.db import connections
from django.utils.module_loading import import_string

from common.composition import assemble

OLDEST_SERVER = 150_000
"""PostgreSQL 15, as the server itself writes its version."""


class CommonConfig(AppConfig):
    """The package as Django sees it."""

    name = "common"

    def ready(self) -> None:
        """Assemble what the apps contribute, and hook the checks in."""
        assemble()
        checks.register(check_views, checks.Tags.urls)
        checks.register(check_server, checks.Tags.database)


def check_views(app_configs: object, **_: object) -> list[checks.CheckMessage]:
    """Return an error for each view that does not say who may call it; only where the whole service is checked."""
    # named, not imported above: views can be imported only once the models of every app are there
    service_faults: Callable[[], list[str]] = import_string("common.api.checks.service_faults")
    return [checks.Error(fault, id="common.E001") for fault in service_faults()] if app_configs is None else []


def check_server(*, databases: Sequence[str] | None = None, **_: object) -> list[checks.CheckMessage]:
    """Return an error for each server that is too old; asked before migrating, when a database is named."""
    versions = {alias: connections[alias].pg_version for alias in databases or ()}  # type: ignore[attr-defined]
    return [
        checks.Error(f"PostgreSQL 15 or newer is needed; {alias} is {version // 10_000}", id="common.E002")
        for alias, version in versions.items()
        if version < OLDEST_SERVER
    ]
