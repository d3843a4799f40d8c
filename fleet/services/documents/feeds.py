"""Feeds of the expiry list: making one, noting that it is read, ending it."""

import secrets
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from common.canonical import plain
from common.clock import refuse_last_day_before
from common.errors import Invalid
from common.security import log_event
from fleet.enums import Role
from fleet.models import FeedToken, Person
from fleet.rules.people.tokens import FEED_PREFIX, TOKEN_BYTES, feed_token_hash
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.people.visible import feeds_visible_to
from fleet.selectors.units.lookup import resolve_unit
from fleet.services.records.edits import lock_row

READS_FEEDS = frozenset({Role.ADMINISTRATOR, Role.AUDITOR, Role.COMPLIANCE, Role.DISPATCH, Role.FOREMAN})
"""Who may let a calendar program read the expiry list; a feed ends with the last of these roles."""

LONGEST = timedelta(days=365)
"""How long a feed lasts at most, and unless it is said. Our own figure."""

NOTED_EVERY = timedelta(hours=1)
"""Readings within this time of the last one that was noted are not written down."""


@transaction.atomic
def create_feed(
    *, name: str, filters: Mapping[str, object], ends_on: date | None = None, actor: Person, now: datetime
) -> tuple[FeedToken, str]:
    """Return a new feed's row and its token, which is told this once and never kept.

    It lasts until the end of `ends_on`, a year at most. Invalid `unit_unknown`, `end_before_beginning`,
    `feed_lasts_too_long`.
    """
    today = carriers_day(now)
    refuse_last_day_before(ends_on, today, "/ends_on")
    if ends_on is not None and ends_on > today + LONGEST:
        raise Invalid("feed_lasts_too_long", pointer="/ends_on", last=today + LONGEST)
    if "unit" in filters and resolve_unit(str(filters["unit"])) is None:
        raise Invalid("unit_unknown", pointer="/filters/unit")
    token = FEED_PREFIX + secrets.token_urlsafe(TOKEN_BYTES)
    row = FeedToken.objects.create(
        person=actor,
        name=name,
        token_hash=feed_token_hash(token),
        filters=plain(filters),
        created_at=now,
        ends_on=ends_on or today + LONGEST,
    )
    log_event("feed_made", actor.log_name, actor=actor.log_name, what=name, ends_on=row.ends_on)
    return row, token


@transaction.atomic
def revoke_feed(*, feed_id: UUID, actor: Person, now: datetime) -> FeedToken:
    """End one feed at once: one's own, or anybody's for an administrator; NotFound `feed_unknown` otherwise."""
    feed = lock_row(feeds_visible_to(actor), feed_id, "feed_unknown")
    feed.revoked_at = now
    feed.save(update_fields=["revoked_at"])
    log_event("feed_ended", feed.person.log_name, actor=actor.log_name, what=feed.name, why="revoked")
    return feed


def note_reading(*, feed: FeedToken, now: datetime) -> None:
    """Note that a feed was read, at most once an hour."""
    if feed.last_used_at is None or now - feed.last_used_at >= NOTED_EVERY:
        feed.last_used_at = now
        feed.save(update_fields=["last_used_at"])
