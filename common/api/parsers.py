"""Reading a JSON body without guessing: what two readers could understand differently is refused, with its place."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import IO

from django.conf import settings
from rest_framework.parsers import BaseParser

from common.api.bodies import Parsed
from common.errors import TooLarge, Unreadable, pointer
from common.text import storage_fault

DEFAULT_MAX_BYTES = 1024 * 1024
MAX_DEPTH = 32
MAX_DIGITS = 40
"""Longest number read, in characters of its literal; also the farthest its first digit may be from the point."""


class SentObject(dict[str, object]):
    """A JSON object of a field body with the text in which it was sent."""

    def __init__(self, members: Mapping[str, object], text: str) -> None:
        super().__init__(members)
        self.text = text


class StrictJSONParser(BaseParser):
    """One JSON object in UTF-8, at most `settings.API_MAX_BODY_BYTES` (1 MiB) and 32 levels deep.

    Numbers with a point or exponent become Decimal. Raises TooLarge `body_too_large`, and Unreadable with the codes
    `body_not_utf8`, `json_malformed`, `json_too_deep`, `json_not_an_object`, `json_duplicate_key`,
    `json_number_unusable`, `text_nul`, `text_surrogate`, all but the first three with a JSON Pointer.
    """

    media_type = "application/json"

    def parse(
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, object] | None = None
    ) -> dict[str, object]:
        """Return the body as a dict of JSON's own types."""
        return read_object(_read(stream))


class FieldJSONParser(StrictJSONParser):
    """Reads what somebody signed in the field: refused only where two readers could understand the JSON differently.

    Texts may hold any character, and a number that is too long is the text that was written. Errors as in the class
    above without `text_nul`, `text_surrogate`, and `json_number_unusable` for NaN and the infinities alone.
    """

    def parse(
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, object] | None = None
    ) -> SentObject:
        """Return the body as a dict of JSON's own types, with its text."""
        content = _read(stream)
        return SentObject(read_object(content, any_value=True), content.decode())


def read_object(content: bytes, *, any_value: bool = False) -> dict[str, object]:
    """Return the JSON object written in `content`; errors as in the classes, of the second where `any_value`."""
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        raise Unreadable("body_not_utf8", position=error.start) from error
    try:
        raw = json.loads(
            text, object_pairs_hook=_members, parse_float=_decimal, parse_int=_integer, parse_constant=_NoNumber
        )
    except json.JSONDecodeError as error:
        raise Unreadable("json_malformed", line=error.lineno, column=error.colno) from error
    except RecursionError as error:
        raise Unreadable("json_too_deep", max_depth=MAX_DEPTH) from error
    if not isinstance(raw, dict | _Repeated):
        raise _refusal((), "json_not_an_object")
    # No text holds what cannot be stored but by an escape: UTF-8 has no surrogates, and JSON no bare NUL.
    return _Reader(any_value=any_value, any_text=any_value or "\\u" not in text).read(raw, ())


class _Repeated(list[tuple[str, object]]):
    """The members as written of an object in which a name is repeated."""


def _members(pairs: list[tuple[str, object]]) -> dict[str, object] | _Repeated:
    members = dict(pairs)
    return members if len(members) == len(pairs) else _Repeated(pairs)


class _Unusable(str):
    """A number that is not read, being too long; the text is what was written."""

    __slots__ = ()


class _NoNumber(_Unusable):
    """NaN or an infinity, which are no JSON."""

    __slots__ = ()


def _read(stream: IO[bytes]) -> bytes:
    limit = getattr(settings, "API_MAX_BODY_BYTES", DEFAULT_MAX_BYTES)
    content = stream.read(limit + 1)
    if len(content) > limit:
        raise TooLarge("body_too_large", max_bytes=limit)
    return content


def _decimal(literal: str) -> Decimal | _Unusable:
    if len(literal) > MAX_DIGITS:
        return _Unusable(literal)
    try:
        number = Decimal(literal)
    except InvalidOperation:
        return _Unusable(literal)
    return number if abs(number.adjusted()) <= MAX_DIGITS else _Unusable(literal)


def _integer(literal: str) -> int | _Unusable:
    return int(literal) if len(literal) <= MAX_DIGITS else _Unusable(literal)


@dataclass(frozen=True)
class _Reader:
    """Refuses what stands in an object and must not; what does not count is not looked at."""

    any_value: bool
    any_text: bool

    def read(self, members: dict[str, object] | _Repeated, path: tuple[str | int, ...]) -> dict[str, object]:
        if len(path) >= MAX_DEPTH:
            raise _refusal(path, "json_too_deep", max_depth=MAX_DEPTH)
        seen: dict[str, object] = {}
        for name, value in members.items() if isinstance(members, dict) else members:
            if not self.any_text:
                self._check_text(name, path)
            if name in seen:
                raise _refusal((*path, name), "json_duplicate_key", name=name)
            seen[name] = value
            if not (self.any_text and type(value) is str):
                self._check(value, (*path, name))
        return seen

    def _check(self, value: object, path: tuple[str | int, ...]) -> None:
        if isinstance(value, _NoNumber) or (isinstance(value, _Unusable) and not self.any_value):
            raise _refusal(path, "json_number_unusable", max_digits=MAX_DIGITS)
        if isinstance(value, str):
            if not self.any_text:
                self._check_text(value, path)
        elif isinstance(value, dict | _Repeated):
            self.read(value, path)
        elif isinstance(value, list):
            if len(path) >= MAX_DEPTH:
                raise _refusal(path, "json_too_deep", max_depth=MAX_DEPTH)
            for index, item in enumerate(value):
                self._check(item, (*path, index))

    def _check_text(self, text: str, path: tuple[str | int, ...]) -> None:
        fault = storage_fault(text)
        if fault is not None:
            raise Unreadable(fault, pointer=pointer(path))


def _refusal(path: tuple[str | int, ...], code: str, **facts: object) -> Unreadable:
    return Unreadable(code, pointer=pointer(path), problems=(), **facts)


def sent_object(request: Parsed) -> SentObject:
    """Return what was signed in the field, as it was sent; an empty object where there was no body."""
    data = request.data
    return data if isinstance(data, SentObject) else SentObject({}, "")
