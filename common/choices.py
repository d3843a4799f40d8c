"""A closed set as Django and DRF want it. Holds no set."""

from collections.abc import Iterable
from enum import StrEnum


def choices(members: Iterable[StrEnum]) -> list[tuple[str, str]]:
    """The members as choices of a field; what people read for one stands in the app's `messages.labels`."""
    return [(member.value, member.value) for member in members]
