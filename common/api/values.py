"""Single values of bodies as pydantic reads them: texts, numbers, instants, names. Holds no rules of the trade.

Each raises one of our own codes; `common.api.value_problems` knows pydantic's own. None rounds, guesses or coerces.
"""

import re
from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, ClassVar
from uuid import UUID

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, Strict
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from common.api.instants import in_reach, read_instant
from common.text import control_fault, normal_text, storage_fault

UUID_TEXT = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE)
SHA256_TEXT = re.compile(r"[0-9a-f]{64}")
_DAY_TEXT = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_DECIMAL_TEXT = re.compile(r"-?\d{1,40}(\.\d{1,40})?", re.ASCII)


class Value(ABC):
    """A kind of value, to annotate a field with: `note: Annotated[str, Text(200)]`."""

    said: ClassVar[JsonSchemaValue] = {"type": "string"}

    def described(self) -> JsonSchemaValue:
        return dict(self.said)

    @abstractmethod
    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return what pydantic checks by."""

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return self.described()


class ReadValue(Value):
    """A kind that is one function from what the JSON holds to the value."""

    @abstractmethod
    def read(self, sent: Any) -> Any:
        """Return the value; PydanticCustomError with one of our codes."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


def refused(code: str, **context: object) -> PydanticCustomError:
    """Return the refusal of a value under one of our codes; the context is for `common.api.signed_bodies`."""
    return PydanticCustomError(code, code, context)


@dataclass(frozen=True)
class Text(ReadValue):
    """A text kept as `common.text.normal_text` has it; nothing else is taken for one, a number neither.

    Codes `not_text`, `text_nul`, `text_surrogate`, `text_control`, `blank`, `max_length`. `multiline` allows tabs and
    line ends; `trimmed` takes space from both ends.
    """

    max_length: int
    multiline: bool = False
    may_be_blank: bool = False
    trimmed: bool = True

    def read(self, sent: Any) -> str:
        if not isinstance(sent, str):
            raise refused("not_text", text=self)
        text = sent.strip() if self.trimmed else sent
        if not (sent.isascii() and sent.isprintable()):
            fault = storage_fault(sent) or control_fault(sent, multiline=self.multiline)
            if fault is not None:
                raise refused(fault, text=self)
            text = normal_text(text)
        if not text.strip() and not self.may_be_blank:
            raise refused("blank")
        if len(text) > self.max_length:
            raise refused("max_length", text=self)
        return text

    def described(self) -> JsonSchemaValue:
        return {**self.said, **({} if self.may_be_blank else {"minLength": 1}), "maxLength": self.max_length}


class InstantValue(ReadValue):
    """An instant."""

    said = {"type": "string", "format": "date-time"}

    def read(self, sent: Any) -> datetime:
        """Return the aware datetime in the offset it came with."""
        instant = read_instant(sent)
        if instant is None:
            raise refused("not_an_instant")
        if instant.tzinfo is None:
            raise refused("instant_without_offset")
        if not in_reach(instant):
            raise refused("not_an_instant")
        return instant


class DayValue(ReadValue):
    """A day."""

    said = {"type": "string", "format": "date"}

    def read(self, sent: Any) -> date:
        if not isinstance(sent, str) or not _DAY_TEXT.fullmatch(sent):
            raise refused("not_a_day")
        try:
            return date.fromisoformat(sent)
        except ValueError as error:
            raise refused("not_a_day") from error


class NumberedValue(ReadValue):
    """A row that people call by a number: that, as a number or a text, or its key. Looked up by the view."""

    said = {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "minLength": 1, "maxLength": 36}]}

    def read(self, sent: Any) -> str:
        whole = isinstance(sent, int) and not isinstance(sent, bool) and sent > 0
        return Text(36).read(str(sent) if whole else sent)


class UuidValue(ReadValue):
    """A UUID."""

    said = {"type": "string", "format": "uuid"}

    def read(self, sent: Any) -> UUID:
        if not isinstance(sent, str) or not UUID_TEXT.fullmatch(sent):
            raise refused("not_uuid")
        return UUID(sent)


class _Sha256(ReadValue):
    said = {"type": "string", "pattern": "^[0-9a-f]{64}$"}

    def read(self, sent: Any) -> str:
        if not isinstance(sent, str) or not SHA256_TEXT.fullmatch(sent):
            raise refused("not_sha256")
        return sent


Instant = Annotated[datetime, InstantValue()]
"""An instant as RFC 3339 writes it, in the offset it was written with; `not_an_instant`, `instant_without_offset`."""
Day = Annotated[date, DayValue()]
"""A day as RFC 3339 writes it; `not_a_day`."""
Uuid = Annotated[UUID, UuidValue()]
"""A UUID of any version, in either case, as phones make them for what they record; `not_uuid`."""
Numbered = Annotated[str, NumberedValue()]
"""A row that people call by a number, such as a defect or an order, by that or by its key."""
Sha256 = Annotated[str, _Sha256()]
"""The SHA-256 of a content, as 64 lower-case hexadecimal digits; `not_sha256`."""
Flag = Annotated[bool, Strict()]
"""true or false, and none of the many spellings of them; `not_a_flag`."""


@dataclass(frozen=True)
class Whole(Value):
    """A whole number as a JSON number, within what a database integer holds; `not_whole`, `min_value`, `max_value`."""

    least: int = 0
    most: int = 2**31 - 1

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.int_schema(strict=True, ge=self.least, le=self.most)

    def described(self) -> JsonSchemaValue:
        return {"type": "integer", "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True)
class DecimalText(ReadValue):
    """A decimal, taken as a text (`"12.50"`) or a JSON number; never rounded.

    Codes `not_a_decimal`, `min_value`, `max_digits`, `max_decimal_places`, `max_whole_digits`.
    """

    digits: int
    places: int
    least: int | None = None

    def read(self, sent: Any) -> Decimal:
        """Return the decimal with its full number of places."""
        if isinstance(sent, bool) or not isinstance(sent, str | int | Decimal):
            raise refused("not_a_decimal")
        if isinstance(sent, str) and not _DECIMAL_TEXT.fullmatch(sent):
            raise refused("not_a_decimal")
        try:
            number = Decimal(sent)
        except InvalidOperation as error:
            raise refused("not_a_decimal") from error
        _sign, digits, exponent = number.as_tuple()
        if not isinstance(exponent, int):
            raise refused("not_a_decimal")
        places = max(-exponent, 0)
        whole = max(len(digits) + exponent, 0)
        if max(len(digits), whole, places) > self.digits:
            raise refused("max_digits")
        if places > self.places:
            raise refused("max_decimal_places")
        if whole > self.digits - self.places:
            raise refused("max_whole_digits")
        if self.least is not None and number < self.least:
            raise refused("min_value")
        return number.quantize(Decimal(1).scaleb(-self.places))

    def described(self) -> JsonSchemaValue:
        minus = "" if self.least is not None and self.least >= 0 else "-?"
        whole = max(self.digits - self.places, 1)
        places = rf"(\.\d{{1,{self.places}}})?" if self.places else ""
        return {**self.said, "pattern": rf"^{minus}\d{{1,{whole}}}{places}$"}


@dataclass(frozen=True)
class Pattern(ReadValue):
    """A text of one shape, such as a currency or a State; the code says which."""

    shape: str
    code: str = "invalid"

    def read(self, sent: Any) -> str:
        if not isinstance(sent, str):
            raise refused("not_text")
        if not re.fullmatch(self.shape, sent, re.ASCII):
            raise refused(self.code)
        return sent

    def described(self) -> JsonSchemaValue:
        return {**self.said, "pattern": f"^{self.shape}$"}


@dataclass(frozen=True)
class Word:
    """A word of a closed set, described only: another is read too, where a newer release stored or a phone sent it."""

    words: Iterable[str]
    empty: bool = False
    """Whether none of them, the empty text, is stored too."""

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {"type": "string", "enum": [*(str(word) for word in self.words), *([""] if self.empty else [])]}


class Choice(ReadValue):
    """One of some words, of a set that is no enum or together with the empty text; `invalid_choice`."""

    def __init__(self, words: Iterable[str]) -> None:
        self.words = [str(word) for word in words]

    def read(self, sent: Any) -> str:
        if not isinstance(sent, str) or sent not in self.words:
            raise refused("invalid_choice", allowed=self.words)
        return sent

    def described(self) -> JsonSchemaValue:
        return {**self.said, "enum": self.words}
