"""The rows of a page as they are shown: one that cannot be shown stands beside them by its key, and hides no other."""

import logging
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

from django.db import Error
from django.db.models import Model

from common import messages
from common.api.language import current_language
from common.messages import Message

logger = logging.getLogger(__name__)

M = TypeVar("M", bound=Model)


def rows_shown(rows: Iterable[M], body: Callable[[M], Any]) -> tuple[list[Any], list[Mapping[str, str]]]:
    """The bodies of the rows, and the key and a sentence of each that none could be made of; the log says why."""
    shown: list[Any] = []
    unreadable: list[Mapping[str, str]] = []
    for row in rows:
        try:
            shown.append(body(row))
        except Error:  # of the database: no fault of the row
            raise
        except Exception:
            logger.exception("%s %s cannot be shown", row._meta.label_lower, row.pk)  # noqa: SLF001 - Django's documented model API
            says = messages.render(Message("row_unreadable"), current_language())
            unreadable.append({"id": str(row.pk), "says": says})
    return shown, unreadable
