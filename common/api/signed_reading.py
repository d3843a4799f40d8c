"""Reading what somebody signed in the field: nothing in it is refused, and whatever is read otherwise is flagged.

What does not fit the model is mended value by value, by the error that names it, each with the place at which it stands
and why. What was sent is kept whole beside it by the caller.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, tzinfo
from typing import Any, Generic, TypeVar, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from common.api.instants import EARLIEST, LATEST, in_reach, read_instant
from common.api.signed_bodies import CUT, LEFT_OUT, Odd, OddCode, SignedBody, Unread, as_text
from common.api.value_problems import Place, code_of, field_at, members_of, place_of
from common.api.values import Text
from common.text import control_fault, readable_text, storage_fault

B = TypeVar("B", bound=SignedBody)


@dataclass(frozen=True)
class SignedRead(Generic[B]):
    """A signed body as far as it could be read, and what was odd in it."""

    body: B
    odd: list[Odd] = field(default_factory=list)


def read_signed(model: type[B], sent: Mapping[str, object], zone: Callable[[], tzinfo]) -> SignedRead[B]:
    """Read all of `sent` that can be read, raising nothing; an instant without an offset is taken in `zone`'s zone."""
    mender = _Mender(model, sent, zone)
    while True:  # each turn mends or takes away all that the turn before found
        try:
            return SignedRead(model.model_validate(mender.data), mender.odd)
        except ValidationError as error:
            mender.mend(error)


def is_signed(read: SignedRead[Any]) -> bool:
    """Whether its signature says how, when or over which sentence it was given, however that is to be read."""
    signature = read.body.signature
    unread = {item.place for item in read.odd if item.code is not OddCode.MISSING}
    said = ("method", "signed_at", "shown")
    return signature is not None and any(getattr(signature, name) or ("signature", name) in unread for name in said)


class _Items(list[Any]):
    """A list from which items are taken, with the index at which each was sent."""

    def __init__(self, items: list[Any]) -> None:
        super().__init__(items)
        self.sent_at = list(range(len(items)))

    def keep(self, indexes: list[int]) -> None:
        self[:] = [self[index] for index in indexes]
        self.sent_at = [self.sent_at[index] for index in indexes]


class _Mender:
    def __init__(self, model: type[SignedBody], sent: Mapping[str, object], zone: Callable[[], tzinfo]) -> None:
        self.data: Any = sent
        self.odd: list[Odd] = []
        self._model = model
        self._zone = zone
        self._mended: set[tuple[Place, str]] = set()
        self._dropped: dict[Place, set[int]] = {}

    def mend(self, error: ValidationError) -> None:
        """Change what the errors name, so that none of them is found again."""
        if not self._mended:
            self.data = _copied(self.data)
        self._dropped = {}
        for each in error.errors(include_url=False):
            if each["type"] == "string_unicode":
                self._drop_broken_names(self.data, ())
            else:
                self._one(each, place_of(each["loc"], self._model))
        # Inner lists first: an item that goes moves those behind it to other places.
        for place, dropped in sorted(self._dropped.items(), key=lambda each: len(each[0]), reverse=True):
            items: _Items = self._at(place)
            items.keep([index for index in range(len(items)) if index not in dropped])

    def _drop_broken_names(self, value: Any, sent_at: Place) -> None:
        """Take out names that are no UTF-8, of which pydantic does not say where they stand."""
        if isinstance(value, _Items):
            for index, item in zip(value.sent_at, value, strict=True):
                self._drop_broken_names(item, (*sent_at, index))
        if isinstance(value, dict):
            for name in [name for name in value if storage_fault(name)]:
                self.odd.append(Odd((*sent_at, name), OddCode.UNKNOWN))
                del value[name]
            for name, item in value.items():
                self._drop_broken_names(item, (*sent_at, name))

    def _one(self, error: ErrorDetails, place: Place) -> None:
        code, value, context = code_of(error), error["input"], error.get("ctx", {})
        if code == "unknown_field":
            self.odd.append(Odd(self._sent_at(place), OddCode.UNKNOWN))
            holder = self._at(place[:-1])
            del holder[place[-1]]
            holder.setdefault("*unread", Unread()).setdefault(str(place[-1]), []).append(value)
            return
        sent_at = self._sent_at(place)
        again = (sent_at, code) in self._mended
        self._mended.add((sent_at, code))
        if code in {"required", "blank", "null"}:
            self._leave_out(place)
        elif again:
            self._set_aside(place)
        elif "text" in context:
            self._put(place, self._text(context["text"], value, sent_at))
        elif code in {"not_an_instant", "instant_without_offset"}:
            self._instant(place, value)
        elif code == "not_a_list":
            self.odd.append(Odd(sent_at, OddCode.OTHER_KIND))
            self._put(place, _Items([value]))
        elif code == "too_many":
            self._cut(place, context["max_length"])
        elif code == "not_sha256" and isinstance(value, str):
            self._put(place, value.lower())
        else:
            self._set_aside(place)

    def _text(self, kind: Text, value: object, sent_at: Place) -> str:
        text = value if isinstance(value, str) else as_text(value)
        if text is not value:
            self.odd.append(Odd(sent_at, OddCode.OTHER_KIND))
        elif storage_fault(text) or control_fault(text, multiline=kind.multiline):
            self.odd.append(Odd(sent_at, OddCode.CHANGED))
        text = readable_text(text, multiline=kind.multiline).strip()
        if len(text) > kind.max_length:
            self.odd.append(Odd(sent_at, OddCode.CUT))
            text = text[: kind.max_length - len(CUT)] + CUT
        return text

    def _instant(self, place: Place, value: object) -> None:
        instant = read_instant(value)
        if instant is None:
            self._set_aside(place)
            return
        if instant.tzinfo is None:
            self.odd.append(Odd(self._sent_at(place), OddCode.WITHOUT_ZONE))
            instant = instant.replace(tzinfo=UTC)
            if in_reach(instant):  # at the ends of the calendar there is no instant in every zone
                instant = instant.replace(tzinfo=self._zone())
        if not in_reach(instant):
            self.odd.append(Odd(self._sent_at(place), OddCode.OUT_OF_REACH))
            instant = min(max(instant, EARLIEST), LATEST)
        self._put(place, instant.isoformat())

    def _cut(self, place: Place, most: int) -> None:
        self.odd.append(Odd(self._sent_at(place), OddCode.LIST_CUT))
        items: _Items = self._at(place)
        self._left_over(place, items[most:])
        items.keep(list(range(most)))

    def _leave_out(self, place: Place) -> None:
        """Take out what says nothing; where it belongs there, that is flagged."""
        found = field_at(place, self._model)
        if isinstance(place[-1], int):
            self._set_aside(place)
        elif found is not None and found.is_required():
            self.odd.append(Odd(self._sent_at(place), OddCode.MISSING))
            self._put(place, LEFT_OUT)
        else:
            del self._at(place[:-1])[place[-1]]

    def _set_aside(self, place: Place) -> None:
        self.odd.append(Odd(self._sent_at(place), OddCode.SET_ASIDE))
        holder, key = self._at(place[:-1]), place[-1]
        if isinstance(key, int):
            self._left_over(place[:-1], [holder[key]])
            self._dropped.setdefault(place[:-1], set()).add(key)
        else:
            found = field_at(place, self._model)
            if found is not None and found.is_required():
                holder[key] = LEFT_OUT
            else:
                del holder[key]

    def _left_over(self, place: Place, items: list[Any]) -> None:
        """Keep what a list of objects held beside its readable items, with the object that has the list."""
        name = str(place[-1])
        found = field_at(place, self._model)
        left = [item for item in items if item is not None]
        if left and found is not None and _holds_objects(found.annotation):
            self._at(place[:-1]).setdefault("*unread", Unread()).setdefault(name, []).extend(left)

    def _at(self, place: Place) -> Any:
        found = self.data
        for part in place:
            found = found[part]
        return found

    def _sent_at(self, place: Place) -> Place:
        found: Any = self.data
        sent: list[str | int] = []
        for part in place:
            sent.append(found.sent_at[part] if isinstance(found, _Items) and isinstance(part, int) else part)
            found = found.get(part) if isinstance(found, dict) else found[part]
        return tuple(sent)

    def _put(self, place: Place, value: object) -> None:
        self._at(place[:-1])[place[-1]] = value


def _holds_objects(annotation: Any) -> bool:
    [kind] = members_of(annotation)
    [item] = get_args(kind)
    return isinstance(item, type) and issubclass(item, SignedBody)


def _copied(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {name: _copied(item) for name, item in value.items()}
    return _Items([_copied(item) for item in value]) if isinstance(value, list) else value
