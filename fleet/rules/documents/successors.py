"""What days of a document make of it beside the standing one of its kind: the same, the next, or one from before."""

from datetime import date
from enum import StrEnum
from typing import Protocol


class Successor(StrEnum):
    """What a document is to the standing one of its kind and subject."""

    SAME_PERIOD = "same_period"
    LATER = "later"
    EARLIER = "earlier"


class Days(Protocol):
    """A document as it is stored."""

    starts_on: date | None
    ends_on: date | None


def successor(old: Days, starts_on: date | None, ends_on: date | None) -> Successor:
    """Return whether days are those of a standing document, or of the one after or before it.

    The end decides, no end being later than any; where both ends are one day or there are none, the first day does.
    """
    days = [(_or_last(old.ends_on), _or_last(ends_on))]
    if old.starts_on is not None and starts_on is not None:
        days.append((old.starts_on, starts_on))
    for before, after in days:
        if after != before:
            return Successor.LATER if after > before else Successor.EARLIER
    return Successor.SAME_PERIOD


def _or_last(day: date | None) -> date:
    return date.max if day is None else day
