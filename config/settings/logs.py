"""What is written to the log and how; one line an event on standard error, kept by whoever runs the process."""


def logging_settings(level: str) -> dict[str, object]:
    """Return Django's LOGGING for the level."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(request_id)s %(message)s"}},
        "filters": {
            "request_id": {"()": "common.api.request_id.RequestIdFilter"},
            "tokens": {"()": "config.masking.MaskTokens"},
        },
        "handlers": {
            "stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["request_id", "tokens"]}
        },
        "root": {"handlers": ["stderr"], "level": level},
        "loggers": {
            "django": {"handlers": [], "level": level, "propagate": True},
            "security": {"level": "INFO"},  # whatever else is left out
        },
    }
