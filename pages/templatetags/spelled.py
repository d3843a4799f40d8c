"""Days, instants and code words as the API's sentences spell them, in the carrier's zone."""

from collections.abc import Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django import template

from common.messages import current_language, shown_day, shown_word

register = template.Library()


@register.filter
def instant(value: str, zone: str) -> str:
    """`2026-12-11T06:27:00Z` as `Fri 11 Dec 12:27 AM`."""
    return shown_day(datetime.fromisoformat(value).astimezone(ZoneInfo(zone)), current_language())


@register.filter
def item(values: Mapping[str, object], key: str) -> object:
    """What a mapping holds under a key that is itself a value; None where it holds nothing."""
    return values.get(key)


@register.filter
def worded(value: str, name: str) -> str:
    """A code word, a state or a severity, in the reader's words; `name` is what sentences call the fact."""
    return shown_word(name, value, current_language())


@register.filter
def day(value: str) -> str:
    """`2026-12-11` as `Fri 11 Dec 2026`."""
    return shown_day(date.fromisoformat(value), current_language())
