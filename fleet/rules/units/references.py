"""How people name a unit: by key, by our own number, or by number and owner. Finding the row lives in selectors."""

import re
from dataclasses import dataclass
from uuid import UUID

NUMBER_PATTERN = r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}"
"""What a unit's number may be; a UUID as it is usually written (36 characters) never matches it."""

REFERENCE_PATTERN = (
    rf"[0-9a-fA-F]{{8}}(?:-[0-9a-fA-F]{{4}}){{3}}-[0-9a-fA-F]{{12}}|{NUMBER_PATTERN}(?:@[^@/]{{1,120}})?"
)
"""What names a unit in an address or a body: a UUID, `number`, or `number@owner`."""

_UUID = re.compile(r"[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
_NAMED = re.compile(rf"({NUMBER_PATTERN})(?:@([^@/]{{1,120}}))?")


@dataclass(frozen=True)
class UnitReference:
    """One way to name a unit: its `key`, or `number` and `owner` (empty for our own), both in upper case."""

    key: UUID | None = None
    number: str = ""
    owner: str = ""


def parse_reference(text: str) -> UnitReference | None:
    """Read one reference; None for a text that could name no unit."""
    text = text.strip()
    if _UUID.fullmatch(text):
        return UnitReference(key=UUID(text))
    named = _NAMED.fullmatch(text)
    if named is None:
        return None
    return UnitReference(number=named[1].upper(), owner=(named[2] or "").strip().upper())


def reference_of(number: str, owner: str) -> UnitReference:
    return UnitReference(number=number.upper(), owner=owner.upper())


def is_ours(owner: str, carrier: str) -> bool:
    """Whether a unit's owner as given is the carrier itself, whose units are named by their number alone."""
    return owner.strip().casefold() == carrier.strip().casefold() != ""


def without_our_name(text: str, carrier: str) -> str:
    """The reference, less an owner that is the carrier itself."""
    number, _, owner = text.partition("@")
    return number if is_ours(owner, carrier) else text
