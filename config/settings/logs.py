"""What is written to the log and how; one line an event on standard error, kept by whoever runs the process."""

from config.log_lines import FORMATTERS

PLAIN = "%(asctime)s %(levelname)s %(name)s %(request_id)s %(message)s"


def logging_settings(level: str, form: str) -> dict[str, object]:
    """Return Django's LOGGING for the level and for `text` or `json`."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": {"()": FORMATTERS[form], "fmt": PLAIN}},
        "filters": {
            "cause": {"()": "common.causes.CauseFilter"},
            "strangers": {"()": "config.log_lines.StrangersWords"},
        },
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["cause"]}},
        "root": {"handlers": ["stderr"], "level": level},
        "loggers": {
            "django": {"handlers": [], "level": level, "propagate": True},
            "django.security.DisallowedHost": {"filters": ["strangers"]},
            "security": {"level": "INFO"},  # whatever else is left out
        },
    }
