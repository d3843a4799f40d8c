"""The settings: Django's own checks for a deployment, host names, TLS in front, mail."""

import smtplib
from collections.abc import Iterator

from django.conf import settings
from django.core import checks
from django.core.mail import get_connection

from fleet.management.doctor.diagnosis import Diagnosis
from fleet.selectors.operation.mail_server import NO_MAIL_SERVER


def examine_settings() -> Iterator[Diagnosis]:
    """Tell what `manage.py check --deploy` tells, and what it does not know of this service."""
    if settings.LOCAL_DEMO:
        yield Diagnosis(
            "LOCAL_DEMO is set: passwords are known to everybody and nothing is encrypted",
            "unset it, unless this is the demo",
        )
        return
    for message in checks.run_checks(tags=[checks.Tags.security], include_deployment_checks=True):
        if not message.is_silenced():
            yield Diagnosis(message.msg, message.hint or f"see Django's documentation of {message.id}")
    if "*" in settings.ALLOWED_HOSTS:
        yield Diagnosis("ALLOWED_HOSTS lets every host name in", "name the hosts that people use")
    if not settings.TRUSTED_PROXIES:
        yield Diagnosis(
            "TRUSTED_PROXIES names no proxy: behind one that ends TLS every request is redirected for ever",
            "set it to the proxy's address, and let the proxy set X-Forwarded-Proto and X-Forwarded-For",
        )


def examine_mail() -> Iterator[Diagnosis]:
    """Tell why no mail can be sent: no server, no address to send from, or a server that does not let us in."""
    if not settings.MAIL_SERVER_SET:
        yield Diagnosis(
            NO_MAIL_SERVER, "set EMAIL_HOST and what belongs to it, unless all notifications go to webhooks"
        )
        return
    if settings.DEFAULT_FROM_EMAIL.endswith("@localhost") and not settings.LOCAL_DEMO:
        yield Diagnosis(
            f"EMAIL_SENDER is {settings.DEFAULT_FROM_EMAIL}, which other mail servers refuse",
            "set it to an address of the carrier's",
        )
    try:
        with get_connection():
            pass
    except (OSError, smtplib.SMTPException) as why:
        yield Diagnosis(
            f"the mail server {settings.EMAIL_HOST}:{settings.EMAIL_PORT} does not let us in: {why}",
            "check EMAIL_HOST, EMAIL_PORT, EMAIL_SECURITY, EMAIL_USER and EMAIL_PASSWORD",
        )
