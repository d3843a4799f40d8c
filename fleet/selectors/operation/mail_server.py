"""What is said loudly where no mail can be sent: in the log as a process starts, and by `check --deploy`."""

import logging

from django.conf import settings
from django.core.checks import CheckMessage, Warning  # noqa: A004 - Django's own name

logger = logging.getLogger(__name__)

NO_MAIL_SERVER = (
    "no mail server is set (EMAIL_HOST): no notification leaves by mail; messages wait, parked, until there is one"
)


def check_mail_server(**_: object) -> list[CheckMessage]:
    """Return a warning where letters cannot leave; webhooks may be all that a carrier wants."""
    return [] if settings.MAIL_SERVER_SET else [Warning(NO_MAIL_SERVER, id="fleet.W001")]


def log_mail_server() -> None:
    """Say the same in the log."""
    if not settings.MAIL_SERVER_SET:
        logger.warning(NO_MAIL_SERVER)
