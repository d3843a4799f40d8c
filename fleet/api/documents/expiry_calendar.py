"""The expiry list as a calendar after RFC 5545: a day for each document that ends, a task for each that is missing."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Calendar, Event, Todo, vDuration, vText, vUri

from common.messages import Message, render
from fleet.api.documents.expiry_sentences import details, title
from fleet.models import FeedToken
from fleet.selectors.documents.expiries.expiry import Expiry

PRODUCT = "-//Refrigerated clearance//Expiry list//EN"
REFRESH = timedelta(hours=12)
ONE_DAY = timedelta(days=1)
SOON = timedelta(days=30)
"""How long before its last day a feed tells of it."""


def expiry_calendar(
    rows: Sequence[Expiry], *, language: str, today: date, address: str, feed: FeedToken | None = None
) -> bytes:
    """Return the calendar; `address` is that of the service, before its paths. A feed that ends soon says so in it.

    A UID is the document's key, so that it stays the same from one reading to the next; a document that follows another
    has its own. The day shown is the one to act by, and stays while a grace runs.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", render(Message("expiry_list"), language) if feed is None else feed.name)
    calendar.add("refresh-interval", vDuration(REFRESH), parameters={"VALUE": "DURATION"})
    for row in rows:
        calendar.add_component(_entry(row, language, today, address))
    if feed is not None and feed.ends_on - today <= SOON:
        calendar.add_component(_end_of(feed, language))
    content: bytes = calendar.to_ical()
    return content


def _end_of(feed: FeedToken, language: str) -> Event:
    entry = Event()
    entry.add("uid", vText(str(feed.pk)))
    entry.add("dtstamp", feed.created_at.astimezone(UTC))
    entry.add("summary", render(Message("feed_ends", {"feed": feed.name}), language))
    entry.add("dtstart", feed.ends_on)
    entry.add("dtend", feed.ends_on + ONE_DAY)
    entry.add("transp", "TRANSPARENT")
    return entry


def _entry(row: Expiry, language: str, today: date, address: str) -> Event | Todo:
    """One document. A missing one has no day, so nothing is due at it and its stamp is the day of reading."""
    entry: Event | Todo = Todo() if row.act_by is None else Event()
    entry.add("uid", vText(str(row.id)))
    entry.add("dtstamp", (row.recorded_at or datetime.combine(today, time(), UTC)).astimezone(UTC))
    entry.add("sequence", max(row.version - 1, 0))
    entry.add("summary", title(row, language))
    entry.add("description", details(row, language))
    entry.add("categories", [row.kind.name])
    if row.act_by is None:
        entry.add("status", "NEEDS-ACTION")
    else:
        entry.add("dtstart", row.act_by)
        entry.add("dtend", row.act_by + ONE_DAY)
        entry.add("transp", "TRANSPARENT")
    if row.link is not None:
        entry.add("url", vUri(address + row.link))
    return entry
