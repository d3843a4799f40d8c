"""Single values as the API takes and gives them: texts, numbers, instants, names. Holds no rules of the trade."""

import re
import uuid
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.instants import in_reach, read_instant
from common.sentences import words
from common.text import control_fault, normal_text, storage_fault

UUID_TEXT = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE)
SHA256_TEXT = re.compile(r"[0-9a-f]{64}")


class TextField(serializers.CharField):
    """A text, kept as `common.text.normal_text` has it; nothing else is taken for one, a number neither.

    `max_length` is needed. `multiline` allows tabs and line ends.
    """

    default_error_messages = words("not_text", "text_nul", "text_surrogate", "text_control")

    def __init__(self, *, max_length: int, multiline: bool = False, **kwargs: Any) -> None:
        self.multiline = multiline
        super().__init__(max_length=max_length, **kwargs)

    def run_validation(self, data: Any = serializers.empty) -> Any:
        """Return the cleaned text; ValidationError with the codes above and those of the framework's own text field."""
        if data is serializers.empty or data is None:
            return super().run_validation(data)
        if not isinstance(data, str):
            self.fail("not_text")
        fault = storage_fault(data) or control_fault(data, multiline=self.multiline)
        if fault is not None:
            self.fail(fault)
        return super().run_validation(normal_text(data))


class FlagField(serializers.BooleanField):
    """true or false, and none of the many spellings of them."""

    default_error_messages = words("not_a_flag")

    def to_internal_value(self, data: Any) -> bool:
        """Return the flag; ValidationError `not_a_flag`."""
        if not isinstance(data, bool):
            self.fail("not_a_flag")
        return data


class WholeField(serializers.IntegerField):
    """A whole number as a JSON number, within what a database integer holds unless narrowed."""

    default_error_messages = words("not_whole")

    def __init__(self, *, min_value: int = 0, max_value: int = 2**31 - 1, **kwargs: Any) -> None:
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    def to_internal_value(self, data: Any) -> int:
        """Return the number; ValidationError `not_whole`."""
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("not_whole")
        return data


class DecimalString(serializers.DecimalField):
    """A decimal, given as a text (`"12.50"`) and taken as a text or a JSON number; never rounded."""

    default_error_messages = words("not_a_decimal")

    def __init__(self, *, max_digits: int, decimal_places: int, **kwargs: Any) -> None:
        super().__init__(max_digits=max_digits, decimal_places=decimal_places, coerce_to_string=True, **kwargs)

    def to_internal_value(self, data: Any) -> Decimal:
        """Return the decimal; ValidationError `not_a_decimal` or one that says which digits are too many."""
        if isinstance(data, bool | float) or not isinstance(data, str | int | Decimal):
            self.fail("not_a_decimal")
        if isinstance(data, str) and not re.fullmatch(r"-?\d{1,40}(\.\d{1,40})?", data, re.ASCII):
            self.fail("not_a_decimal")
        try:
            number = Decimal(data)
        except InvalidOperation:
            self.fail("not_a_decimal")
        return self.quantize(self.validate_precision(number))


@extend_schema_field({"type": "string", "format": "date-time"})
class InstantField(serializers.Field[datetime, Any, str, Any]):
    """An instant as RFC 3339 writes it, with the offset of whoever wrote it, which is kept where a zone can have it."""

    default_error_messages = words("not_an_instant", "instant_without_offset")

    def to_internal_value(self, data: Any) -> datetime:
        """Return the aware datetime in the offset given; ValidationError `not_an_instant`, `instant_without_offset`."""
        instant = read_instant(data)
        if instant is None:
            self.fail("not_an_instant")
        if instant.tzinfo is None:
            self.fail("instant_without_offset")
        if not in_reach(instant):
            self.fail("not_an_instant")
        return instant

    def to_representation(self, value: datetime) -> str:
        """RFC 3339; Z where the instant is in UTC. ValueError for a naive one."""
        offset = value.utcoffset()
        if offset is None:
            msg = "an instant needs its offset"
            raise ValueError(msg)
        return value.isoformat() if offset else value.replace(tzinfo=None).isoformat() + "Z"


@extend_schema_field({"type": "string", "format": "uuid"})
class UuidField(serializers.Field[uuid.UUID, Any, str, Any]):
    """A UUID of any version, in either case, as phones make them for what they record."""

    default_error_messages = words("not_uuid")

    def to_internal_value(self, data: Any) -> uuid.UUID:
        """Return the UUID; ValidationError `not_uuid`."""
        if not isinstance(data, str) or not UUID_TEXT.fullmatch(data):
            self.fail("not_uuid")
        return uuid.UUID(data)

    def to_representation(self, value: uuid.UUID) -> str:
        """Lower-case text with hyphens."""
        return str(value)


@extend_schema_field({"type": "string", "pattern": "^[0-9a-f]{64}$"})
class Sha256Field(serializers.Field[str, Any, str, Any]):
    """The SHA-256 of a content, as 64 lower-case hexadecimal digits."""

    default_error_messages = words("not_sha256")

    def to_internal_value(self, data: Any) -> str:
        """Return the digits; ValidationError `not_sha256`."""
        if not isinstance(data, str) or not SHA256_TEXT.fullmatch(data):
            self.fail("not_sha256")
        return data

    def to_representation(self, value: str) -> str:
        """Return the digits themselves."""
        return value
