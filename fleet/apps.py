"""App configuration of what the carrier owns."""

from django.apps import AppConfig
from django.core.checks import register

from fleet.selectors.operation.mail_server import check_mail_server, log_mail_server


class FleetConfig(AppConfig):
    """The app as Django sees it."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Say where no mail can be sent."""
        register(check_mail_server, deploy=True)
        log_mail_server()
