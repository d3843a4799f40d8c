"""Days and instants as the API's sentences spell them, in the carrier's zone."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django import template

from common.messages import current_language, shown_day

register = template.Library()


@register.filter
def instant(value: str, zone: str) -> str:
    """`2026-12-11T06:27:00Z` as `Fri 11 Dec 12:27 AM`."""
    return shown_day(datetime.fromisoformat(value).astimezone(ZoneInfo(zone)), current_language())


@register.filter
def day(value: str) -> str:
    """`2026-12-11` as `Fri 11 Dec 2026`."""
    return shown_day(date.fromisoformat(value), current_language())
