"""The channels by which a message leaves, one class for each. Knows nothing of leases, attempts or what is pending."""

import json
import logging
from collections.abc import Mapping
from smtplib import SMTPException
from types import TracebackType
from typing import Protocol, Self

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection

from common import clock
from fleet.enums import Channel
from fleet.models import WebhookEndpoint
from fleet.services.notifications.composing import Mail
from fleet.services.notifications.webhook_posts import post_signed


class WebhookSender:
    """Posts to the open endpoint whose key the letter is addressed to; every letter on a connection of its own."""

    def send(self, mail: Mail) -> None:
        """Post one letter under an id that is the same however often it is sent, without the scheme's full stops.

        WebhookRefusedError for an address that may not be posted to and for any answer but a 2xx; OSError and
        HTTPException pass, and DoesNotExist when the endpoint was closed meanwhile.
        """
        endpoint = WebhookEndpoint.objects.get(pk=mail.to, closed_at__isnull=True)
        post_signed(
            endpoint.url,
            endpoint.secret,
            mail.message_id.strip("<>").replace(".", "-"),
            _body(mail),
            seconds=int(clock.now().timestamp()),
            to_private=settings.WEBHOOKS_TO_PRIVATE,
        )

    def close(self) -> None:
        """Nothing stays open."""


def _body(mail: Mail) -> bytes:
    content = {
        "subject": mail.subject,
        "text": mail.text,
        "language": mail.language,
        "notifications": mail.notifications,
    }
    return json.dumps(content, ensure_ascii=False).encode()


logger = logging.getLogger(__name__)


class MailNotSentError(Exception):
    """The channel did not take the letter and did not say why."""


class Sender(Protocol):
    """One channel, kept open while letters leave one after another."""

    def send(self, mail: Mail) -> None:
        """Send one letter, or raise whatever kept it from leaving."""

    def close(self) -> None:
        """Let go of what is open; nothing happens where nothing is."""


class MailSender:
    """Electronic mail through Django's configured backend, on one connection for as long as it works."""

    def __init__(self) -> None:
        self._connection = get_connection()

    def send(self, mail: Mail) -> None:
        """Send as text and HTML under the letter's own Message-ID (RFC 5322); SMTPException and OSError pass."""
        message = EmailMultiAlternatives(
            subject=mail.subject,
            body=mail.text,
            to=[mail.to],
            headers={
                "Message-ID": mail.message_id,
                "Content-Language": mail.language,
                "Auto-Submitted": "auto-generated",
            },
        )
        message.attach_alternative(mail.html, "text/html")
        self._connection.open()
        if self._connection.send_messages([message]) != 1:
            raise MailNotSentError("the mail backend sent nothing")

    def close(self) -> None:
        """End the connection; the next letter opens another."""
        ended, self._connection = self._connection, get_connection()
        try:
            ended.close()
        except (SMTPException, OSError):
            logger.info("the mail server did not take leave", exc_info=True)


class Senders:
    """The senders of all channels, closed together."""

    def __init__(self, senders: Mapping[str, Sender] | None = None) -> None:
        ours: Mapping[str, Sender] = {Channel.MAIL: MailSender(), Channel.WEBHOOK: WebhookSender()}
        self._senders = ours if senders is None else senders

    def send(self, channel: str, mail: Mail) -> None:
        """Send a letter by its channel; a channel that failed starts anew. KeyError for one without a sender."""
        sender = self._senders[channel]
        try:
            sender.send(mail)
        except Exception:
            sender.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, why: BaseException | None, trace: TracebackType | None
    ) -> None:
        for sender in self._senders.values():
            sender.close()
