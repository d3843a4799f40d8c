"""Reading what somebody signed in the field: nothing in it is refused, and whatever is read otherwise is told.

One body says what is expected (a `StrictSerializer`); what fits it is taken as it is everywhere else. What does not is
read as well as it can be, value by value, each with the place at which it stands and why. What was sent is kept whole
beside it by the caller.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, tzinfo
from decimal import Decimal
from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, Sha256Field, TextField
from common.api.instants import EARLIEST, LATEST, in_reach, read_instant
from common.api.serializers import StrictSerializer
from common.api.signed_bodies import OddCode
from common.canonical import canonical_json
from common.pointers import pointer
from common.text import control_fault, readable_text, storage_fault

CUT = "…"
"""Stands at the end of a text that was too long, so that no part of a number or of a word passes for the whole."""

LONGEST_PLACE = 80
UNREAD = "*unread"

Place = tuple[str | int, ...]
Absent = serializers.empty


@dataclass(frozen=True, slots=True)
class Odd:
    """One value that was read otherwise than it was sent: where, and why."""

    place: Place
    code: OddCode

    @property
    def pointer(self) -> str:
        """The place as a JSON Pointer, fit to be kept and shown."""
        text = readable_text(pointer(self.place), multiline=False)
        return text if len(text) <= LONGEST_PLACE else text[: LONGEST_PLACE - 1] + CUT


@dataclass
class FieldBody:
    """What was read: the values as the body's serializer gives them, as far as they are there, and what was odd.

    An object in whose lists of objects something stood that could not be read, or was too much, has it under `UNREAD`:
    by the name of the list, as it was sent.
    """

    given: dict[str, Any]
    odd: list[Odd] = field(default_factory=list)


def read_field_body(body: type[StrictSerializer], sent: Mapping[str, object], zone: Callable[[], tzinfo]) -> FieldBody:
    """Read all of `sent` that can be read, raising nothing; an instant without an offset is taken in `zone`'s zone."""
    strict = body(data=sent)
    if strict.is_valid():
        return FieldBody(strict.validated_data)
    reader = _Reader(zone)
    return FieldBody(reader.members(body(), sent, ()), reader.odd)


class _Reader:
    def __init__(self, zone: Callable[[], tzinfo]) -> None:
        self.odd: list[Odd] = []
        self._zone = zone

    def members(self, body: serializers.Serializer[Any], sent: Mapping[str, object], at: Place) -> dict[str, Any]:
        """The fields of an object that can be read; null is nothing."""
        known = {name: item for name, item in body.fields.items() if not item.read_only}
        self.odd += [Odd((*at, name), OddCode.UNKNOWN) for name in sent if name not in known]
        read: dict[str, Any] = {}
        unread: dict[str, list[object]] = {}
        for name, item in known.items():
            value, place = sent.get(name), (*at, name)
            if value is None:
                found = item.default
                if item.required:
                    self.odd.append(Odd(place, OddCode.MISSING))
            elif isinstance(item, serializers.ListField):
                found, left = self._list(item, value, place)
                if left and isinstance(item.child, serializers.Serializer):
                    unread[name] = left
            else:
                found = self._value(item, value, place)
            if found is not Absent:
                read[name] = found
        return {**read, UNREAD: unread} if unread else read

    def _value(self, item: serializers.Field[Any, Any, Any, Any], value: object, at: Place) -> Any:
        if isinstance(item, serializers.Serializer):
            return self.members(item, value, at) if isinstance(value, Mapping) else self._aside(at)
        try:
            return item.run_validation(value)
        except serializers.ValidationError:
            return self._leaf(item, value, at)

    def _list(self, item: serializers.ListField, value: object, at: Place) -> tuple[list[Any], list[object]]:
        """The items that can be read, and the others as they were sent."""
        if not isinstance(value, list):
            self.odd.append(Odd(at, OddCode.CHANGED))
        items: Sequence[object] = value if isinstance(value, list) else [value]
        most = len(items) if item.max_length is None else item.max_length
        if len(items) > most:
            self.odd.append(Odd(at, OddCode.LIST_CUT))
        pairs = [(each, self._value(item.child, each, (*at, index))) for index, each in enumerate(items[:most])]
        left = [each for each, read in pairs if read is Absent and each is not None]
        return [read for _, read in pairs if read is not Absent], [*left, *items[most:]]

    def _leaf(self, item: serializers.Field[Any, Any, Any, Any], value: object, at: Place) -> Any:
        if isinstance(item, TextField):
            return self._text(item, value, at)
        if isinstance(item, InstantField):
            return self._instant(value, at)
        if isinstance(item, Sha256Field) and isinstance(value, str) and value != value.lower():
            return self._value(item, value.lower(), at)
        return self._aside(at)

    def _text(self, item: TextField, value: object, at: Place) -> str:
        text = value if isinstance(value, str) else as_text(value)
        if text is not value or storage_fault(text) or control_fault(text, multiline=item.multiline):
            self.odd.append(Odd(at, OddCode.CHANGED))
        text = readable_text(text, multiline=item.multiline).strip()
        longest = item.max_length or len(text)
        if len(text) > longest:
            self.odd.append(Odd(at, OddCode.CUT))
            text = text[: longest - len(CUT)] + CUT
        if not text and not item.allow_blank:
            self.odd.append(Odd(at, OddCode.MISSING))
        return text

    def _instant(self, value: object, at: Place) -> Any:
        instant = read_instant(value)
        if instant is None:
            return self._aside(at)
        if instant.tzinfo is None:
            self.odd.append(Odd(at, OddCode.WITHOUT_ZONE))
            instant = instant.replace(tzinfo=UTC)
            if in_reach(instant):  # at the ends of the calendar there is no instant in every zone
                instant = instant.replace(tzinfo=self._zone())
        if not in_reach(instant):
            self.odd.append(Odd(at, OddCode.OUT_OF_REACH))
            instant = min(max(instant, EARLIEST), LATEST)
        return instant

    def _aside(self, at: Place) -> Any:
        self.odd.append(Odd(at, OddCode.SET_ASIDE))
        return Absent


def as_text(value: object) -> str:
    """What is no text as the text that it was written as."""
    if isinstance(value, Decimal):
        return format(value, "f")
    return canonical_json(value).decode(errors="surrogatepass")
