"""Ending what lets a person in, or sends notifications out, without a password: devices, feeds and webhooks."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from common.security import log_event
from fleet.models import DeviceToken, FeedToken, Person, PersonRole, WebhookEndpoint
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.documents.feeds import READS_FEEDS


@dataclass(frozen=True)
class Ended:
    """How many feeds and webhooks ended by themselves."""

    feeds: int
    webhooks: int


def end_access(person: Person, *, why: str, actor: Person | None, now: datetime) -> None:
    """End everything of one person, inside the caller's transaction; no `actor` at the console."""
    DeviceToken.objects.filter(person=person, revoked_at__isnull=True).update(revoked_at=now)
    end_feeds(FeedToken.objects.filter(person=person), why=why, actor=actor, now=now)
    _close(WebhookEndpoint.objects.filter(person=person), why=why, actor=actor, now=now)


def end_feeds(feeds: QuerySet[FeedToken], *, why: str, actor: Person | None, now: datetime) -> int:
    """End those of some feeds that were not ended yet, inside the caller's transaction; how many there were."""
    active = feeds.filter(revoked_at__isnull=True).select_for_update(no_key=True, of=("self",))
    ended = list(active.select_related("person").order_by("pk"))
    FeedToken.objects.filter(pk__in=[feed.pk for feed in ended]).update(revoked_at=now)
    _log_ended("feed_ended", ((feed.person, feed.name) for feed in ended), why, actor)
    return len(ended)


@transaction.atomic
def end_access_that_is_over(*, now: datetime) -> Ended:
    """End feeds and webhooks whose last day is over, or whose person has no role for them any more and none to come."""
    today = carriers_day(now)
    roles = PersonRole.objects.filter(Q(ends_on__isnull=True) | Q(ends_on__gte=today), person_id=OuterRef("person_id"))
    past = Q(ends_on__lt=today)
    feeds = FeedToken.objects.filter(past | ~Exists(roles.filter(role__in=READS_FEEDS)))
    webhooks = WebhookEndpoint.objects.filter(past | ~Exists(roles))
    return Ended(
        feeds=end_feeds(feeds, why="over", actor=None, now=now),
        webhooks=_close(webhooks, why="over", actor=None, now=now),
    )


def _close(webhooks: QuerySet[WebhookEndpoint], *, why: str, actor: Person | None, now: datetime) -> int:
    active = webhooks.filter(closed_at__isnull=True).select_for_update(no_key=True, of=("self",))
    closed = list(active.select_related("person").order_by("pk"))
    WebhookEndpoint.objects.filter(pk__in=[each.pk for each in closed]).update(closed_at=now, closed_by=actor)
    _log_ended("webhook_ended", ((each.person, str(each.pk)) for each in closed), why, actor)
    return len(closed)


def _log_ended(event: str, ended: Iterable[tuple[Person, str]], why: str, actor: Person | None) -> None:
    for person, name in ended:
        log_event(event, person.log_name, actor="" if actor is None else actor.log_name, what=name, why=why)
