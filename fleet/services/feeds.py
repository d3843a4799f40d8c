"""Feeds of the expiry list: making one, noting that it is read, ending it."""

import secrets
from collections.abc import Mapping
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from common.canonical import plain
from common.errors import Invalid, NotFound
from fleet.models import FeedToken, Person
from fleet.rules.tokens import FEED_PREFIX, TOKEN_BYTES, feed_digest
from fleet.selectors.units import resolve_unit
from fleet.selectors.visible import feeds_visible_to

NOTED_EVERY = timedelta(hours=1)
"""Readings within this time of the last one that was noted are not written down."""


@transaction.atomic
def create_feed(*, name: str, filters: Mapping[str, object], actor: Person, now: datetime) -> tuple[FeedToken, str]:
    """Return a new feed's row and its token, which is told this once and never kept. Invalid `unit_unknown`."""
    if "unit" in filters and resolve_unit(str(filters["unit"])) is None:
        raise Invalid("unit_unknown", pointer="/filters/unit")
    token = FEED_PREFIX + secrets.token_urlsafe(TOKEN_BYTES)
    row = FeedToken.objects.create(
        person=actor, name=name, digest=feed_digest(token), filters=plain(filters), created_at=now
    )
    return row, token


@transaction.atomic
def revoke_feed(*, feed_id: UUID, actor: Person, now: datetime) -> FeedToken:
    """End one feed at once: one's own, or anybody's for an administrator; NotFound `feed_unknown` otherwise."""
    feed = feeds_visible_to(actor).select_for_update(no_key=True, of=("self",)).filter(pk=feed_id).first()
    if feed is None:
        raise NotFound("feed_unknown")
    feed.revoked_at = now
    feed.save(update_fields=["revoked_at"])
    return feed


def note_reading(*, feed: FeedToken, now: datetime) -> None:
    """Note that a feed was read, at most once an hour."""
    if feed.last_used_at is None or now - feed.last_used_at >= NOTED_EVERY:
        feed.last_used_at = now
        feed.save(update_fields=["last_used_at"])
