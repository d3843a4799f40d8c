"""Recording and closing the addresses that notices are posted to. Posting is a channel, in `webhook_channel`."""

import secrets
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.db import transaction

from common.errors import Conflict, Invalid
from fleet.models import Person, WebhookEndpoint
from fleet.rules.webhooks import SECRET_BYTES, secret_of, url_problem
from fleet.services.row_edits import lock_row


@transaction.atomic
def record_webhook(*, person_id: UUID, url: str, actor: Person, now: datetime) -> WebhookEndpoint:
    """Record where a person's notices are posted from now on; its secret is told this once.

    NotFound `person_unknown`, Conflict `person_left`, `webhook_exists`; Invalid `webhook_not_https`,
    `webhook_url_malformed`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    if person.left_on is not None:
        raise Conflict("person_left", left_on=person.left_on)
    problem = url_problem(url, private=settings.WEBHOOKS_TO_PRIVATE)
    if problem is not None:
        raise Invalid(problem, pointer="/url")
    if WebhookEndpoint.objects.filter(person=person, closed_at__isnull=True).exists():
        raise Conflict("webhook_exists")
    secret = secret_of(secrets.token_bytes(SECRET_BYTES))
    return WebhookEndpoint.objects.create(person=person, url=url, secret=secret, recorded_at=now, recorded_by=actor)


@transaction.atomic
def close_webhook(*, webhook_id: UUID, now: datetime) -> WebhookEndpoint:
    """Post there no more; what is still owed to it is parked. NotFound `webhook_unknown`, Conflict `webhook_closed`."""
    webhook = lock_row(WebhookEndpoint.objects.select_related(None), webhook_id, "webhook_unknown")
    if webhook.closed_at is not None:
        raise Conflict("webhook_closed")
    webhook.closed_at = now
    webhook.save(update_fields=["closed_at"])
    return webhook
