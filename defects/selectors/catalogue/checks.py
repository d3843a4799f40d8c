"""The system check that refuses to start with a malformed point catalogue. The rules it reports are in `rules`."""

from collections.abc import Sequence

from django.apps import AppConfig
from django.core.checks import CheckMessage, Error

from defects.rules.catalogue.catalogue import MalformedCatalogueError, parse_catalogue, read_package_documents


def check_catalogue(app_configs: Sequence[AppConfig] | None, **_kwargs: object) -> list[CheckMessage]:
    """Return one error for each problem of the catalogue files that come with the code; none if they are sound."""
    if app_configs is not None and not any(config.name == "defects" for config in app_configs):
        return []
    try:
        parse_catalogue(read_package_documents())
    except MalformedCatalogueError as malformed:
        return [
            Error(problem.message, obj=f"{problem.file} {problem.point} {problem.field}".strip(), id="defects.E001")
            for problem in malformed.problems
        ]
    return []
