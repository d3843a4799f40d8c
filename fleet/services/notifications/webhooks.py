"""Recording and closing the addresses that notifications are posted to. Posting is a channel, in `channels`."""

import secrets
from datetime import date, datetime
from urllib.parse import urlsplit
from uuid import UUID

from django.conf import settings
from django.db import transaction

from common.clock import refuse_last_day_before
from common.errors import Conflict, Invalid
from common.security import log_event
from fleet.models import Person, WebhookEndpoint
from fleet.rules.notifications.webhooks import SECRET_BYTES, secret_of, url_problem
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.records.edits import lock_row


@transaction.atomic
def record_webhook(
    *, person_id: UUID, url: str, ends_on: date | None = None, actor: Person, now: datetime
) -> WebhookEndpoint:
    """Record where a person's notifications are posted, until the end of `ends_on` if given; its secret is shown once.

    NotFound `person_unknown`, Conflict `person_left`, `webhook_exists`; Invalid `webhook_not_https`,
    `webhook_url_malformed`, `end_before_beginning`.
    """
    refuse_last_day_before(ends_on, carriers_day(now), "/ends_on")
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    if person.left_on is not None:
        raise Conflict("person_left", left_on=person.left_on)
    problem = url_problem(url, private=settings.WEBHOOKS_TO_PRIVATE)
    if problem is not None:
        raise Invalid(problem, pointer="/url")
    if WebhookEndpoint.objects.filter(person=person, closed_at__isnull=True).exists():
        raise Conflict("webhook_exists")
    secret = secret_of(secrets.token_bytes(SECRET_BYTES))
    log_event("webhook_made", person.log_name, actor=actor.log_name, host=urlsplit(url).hostname, ends_on=ends_on)
    return WebhookEndpoint.objects.create(
        person=person, url=url, secret=secret, recorded_at=now, recorded_by=actor, ends_on=ends_on
    )


@transaction.atomic
def close_webhook(*, webhook_id: UUID, actor: Person, now: datetime) -> WebhookEndpoint:
    """Post there no more; what is pending is parked. NotFound `webhook_unknown`, Conflict `webhook_closed`."""
    webhook = lock_row(WebhookEndpoint.objects.select_related(None), webhook_id, "webhook_unknown")
    if webhook.closed_at is not None:
        raise Conflict("webhook_closed")
    webhook.closed_at, webhook.closed_by = now, actor
    webhook.save(update_fields=["closed_at", "closed_by"])
    log_event("webhook_ended", webhook.person.log_name, actor=actor.log_name, what=webhook.pk, why="closed")
    return webhook
