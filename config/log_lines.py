"""How a log line is written, plain or as JSON, and always without tokens: the address of a feed carries one."""

import json
import logging
from datetime import UTC, datetime

from fleet.rules.people.tokens import SECRETS

MASK = "…"
LONGEST_OF_STRANGERS = 200
USUAL = frozenset({*vars(logging.makeLogRecord({})), "message", "asctime", "request_id", "taskName"})
"""What every record has; anything else was given by whoever wrote the line, and is told by its name."""


def masked(text: str) -> str:
    """Return the text with a mask where it would show a token of a device, a feed or a signing link."""
    return SECRETS.sub(MASK, text)


class PlainLines(logging.Formatter):
    """Writes one line for an event, a trace below it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return what Django's own formatter writes, masked."""
        return masked(super().format(record))


class JsonLines(logging.Formatter):
    """Writes one object a line: `at`, `level`, `logger`, `request_id`, `message`, what else was given, and `trace`."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the object, masked."""
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "request_id": getattr(record, "request_id", "-"),
            "message": record.getMessage(),
            **{name: value for name, value in vars(record).items() if name not in USUAL},
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return masked(json.dumps(line, default=str, ensure_ascii=False))


class StrangersWords(logging.Filter):
    """Cuts what anybody can have written without a sign-in, so that nobody pushes other lines out of a rotated log."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Keep the beginning of the message, and no trace: it leads nowhere but to the library."""
        record.msg, record.args = record.getMessage()[:LONGEST_OF_STRANGERS], ()
        record.exc_info = None
        return True


FORMATTERS: dict[str, type[logging.Formatter]] = {"text": PlainLines, "json": JsonLines}
"""By what LOG_FORMAT says."""
