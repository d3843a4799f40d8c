"""The channel that posts a letter to a person's own address. How it is signed and posted is in `webhook_posts`."""

import json

from django.conf import settings

from common import clock
from fleet.models import WebhookEndpoint
from fleet.services.notifications.composing import Letter
from fleet.services.notifications.webhook_posts import post_signed


class WebhookSender:
    """Posts to the open endpoint whose key the letter is addressed to; every letter on a connection of its own."""

    def send(self, letter: Letter) -> None:
        """Post one letter under an id that is the same however often it is sent, without the scheme's full stops.

        WebhookRefusedError for an address that may not be posted to and for any answer but a 2xx; OSError and
        HTTPException pass, and DoesNotExist when the endpoint was closed meanwhile.
        """
        endpoint = WebhookEndpoint.objects.get(pk=letter.to, closed_at__isnull=True)
        post_signed(
            endpoint.url,
            endpoint.secret,
            letter.message_id.strip("<>").replace(".", "-"),
            _body(letter),
            seconds=int(clock.now().timestamp()),
            to_private=settings.WEBHOOKS_TO_PRIVATE,
        )

    def close(self) -> None:
        """Nothing stays open."""


def _body(letter: Letter) -> bytes:
    told = {"subject": letter.subject, "text": letter.text, "language": letter.language, "notices": letter.told}
    return json.dumps(told, ensure_ascii=False).encode()
