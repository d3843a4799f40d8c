"""What somebody signs in the field: a model of what is expected, and how a value that was read otherwise is flagged."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, TypeVar

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from common.api.bodies import Body
from common.api.value_problems import Place
from common.api.values import ReadValue, refused
from common.canonical import canonical_json
from common.errors import pointer
from common.text import readable_text

CUT = "…"
"""Stands at the end of a text that was too long, so that no part of a number or of a word passes for the whole."""

LONGEST_PLACE = 80

T = TypeVar("T")


class OddCode(StrEnum):
    """Why a value was read otherwise than it was sent."""

    UNKNOWN = "field_unknown"
    MISSING = "field_missing"
    SET_ASIDE = "field_set_aside"
    CHANGED = "field_changed"
    OTHER_KIND = "field_of_other_kind"
    CUT = "field_cut"
    LIST_CUT = "list_cut"
    WITHOUT_ZONE = "instant_without_zone"
    OUT_OF_REACH = "instant_out_of_reach"


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


@dataclass(frozen=True)
class Said:
    """A field that belongs there: `Annotated[str, Text(80), Said("")]`, with what it is where it could not be read."""

    unread: Any

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_wrap_validator_function(self._read, handler(source))

    def _read(self, sent: Any, handler: Callable[[Any], Any]) -> Any:
        return self.unread if sent is LEFT_OUT else _present(sent, handler)


class _Expected:
    """A field that belongs there; where it could not be read it is None, which only the mended body may hold."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        inner: Any = handler(source)  # of `T | None`
        return core_schema.no_info_wrap_validator_function(_present, inner["schema"])


def _present(sent: Any, handler: Callable[[Any], Any]) -> Any:
    if sent is LEFT_OUT:
        return None
    if sent is None:
        raise refused("required")
    return handler(sent)


Expected = Annotated[T | None, _Expected()]
"""A required field of a `SignedBody`: None where nothing that could be read was sent."""

LEFT_OUT = object()
"""What no client can send: stands in the place of a required value that could not be read."""


class Unread(dict[str, list[object]]):
    """What no client can send: what was not read, put there by the mender."""


class _UnreadField(ReadValue):
    def read(self, sent: Any) -> Unread:
        if not isinstance(sent, Unread):
            raise refused("unknown_field")
        return sent


class SignedBody(Body):
    """A body, or an object in one, that is kept whatever it holds; read it by `read_signed`.

    Required fields are annotated `Expected[…]`. Others have a default, which also stands for null.
    """

    unread: Annotated[dict[str, list[object]], _UnreadField()] = Field(default_factory=dict, alias="*unread")
    """What could not be read, or was too much, as it was sent: by name of list, or by a name that is not known."""

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        described = handler(schema)
        handler.resolve_ref_schema(described)["properties"].pop("*unread")
        return described


def as_text(value: object) -> str:
    """What is no text as the text that it was written as."""
    if isinstance(value, Decimal):
        return format(value, "f")
    return canonical_json(value).decode(errors="surrogatepass")


MOST = 40
"""So many are named one by one; the rest is counted."""


def flags_of(odd: Sequence[Odd]) -> tuple[dict[str, object], ...]:
    """Each with the place in what was sent."""
    named: list[dict[str, object]] = [{"code": str(item.code), "facts": {"field": item.pointer}} for item in odd[:MOST]]
    if len(odd) > MOST:
        named.append({"code": "more_fields_odd", "facts": {"count": len(odd) - MOST}})
    return tuple(named)
