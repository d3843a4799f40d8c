"""The kinds of filters that lists share: one name and one reading for each thing that several of them can be cut by."""

from collections.abc import Callable
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django_filters import rest_framework as django_filters
from drf_spectacular.drainage import set_override
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError

from common.api.values import DayValue, InstantValue, ReadValue, UuidValue
from common.errors import DomainError, NotFound

REFERENCE: JsonSchemaValue = {"type": "string"}
OPEN = "Whether it has not ended"
NO_SYNC = "what is recorded or corrected afterwards may lie before it"


class ReadField(forms.CharField):
    """A parameter read by a function that refuses with one of our codes."""

    def __init__(self, *, read: Callable[[str], Any], **kwargs: Any) -> None:
        super().__init__(strip=False, **kwargs)
        self.read = read

    def clean(self, value: Any) -> Any:
        """Return what was read, None where nothing is given."""
        given = super().clean(value)
        if not given:
            return None
        try:
            return self.read(given)
        except PydanticCustomError as error:
            code = error.type
        except DomainError as error:
            code = error.code
        raise ValidationError(code, code=code)


class ReadFilter(django_filters.Filter):
    """Rows by a value read as a body's, or by a row as addresses name it: a slip is refused and never looks clean.

    `read` returns what is compared; it refuses with PydanticCustomError or DomainError, whose codes are shown.
    """

    field_class = ReadField

    def __init__(
        self,
        field_name: str | None = None,
        *,
        read: Callable[[str], Any],
        described: JsonSchemaValue,
        help_text: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(field_name, read=read, **kwargs)
        _describe(self, described, help_text)


class KnownFilter(ReadFilter):
    """Rows by a text that `known` says there is; any other is refused `does_not_exist`."""

    def __init__(self, field_name: str | None = None, *, known: Callable[[str], bool], **kwargs: Any) -> None:
        def read(given: str) -> str:
            if not known(given):
                raise NotFound("does_not_exist")
            return given

        super().__init__(field_name, read=read, described={"type": "string"}, **kwargs)


class ValueFilter(ReadFilter):
    """Rows by one kind of value."""

    kind: ClassVar[ReadValue]

    def __init__(self, field_name: str | None = None, **kwargs: Any) -> None:
        super().__init__(field_name, read=self.kind.read, described=self.kind.described(), **kwargs)


class InstantFilter(ValueFilter):
    kind = InstantValue()


class DayFilter(ValueFilter):
    kind = DayValue()


class KeyFilter(ValueFilter):
    """By a key that need not be that of a row."""

    kind = UuidValue()


class FlagFilter(django_filters.TypedChoiceFilter):
    """`true` or `false`, nothing else; with a `method` it is given a bool."""

    def __init__(self, *, help_text: str = "", **kwargs: Any) -> None:
        super().__init__(choices=(("true", "true"), ("false", "false")), coerce=lambda text: text == "true", **kwargs)
        _describe(self, {"type": "boolean"}, help_text)


class OpenFilter(FlagFilter):
    """`open`: rows that have not ended, or those that have. Registers show the first `by_default`, others both."""

    def __init__(self, still: Q, *, by_default: bool = False) -> None:
        super().__init__(help_text=f"{OPEN}; without it, {'what has not' if by_default else 'both'}.")
        self.still, self.by_default = still, by_default

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        if value is True or (self.by_default and value is not False):
            return qs.filter(self.still)
        return qs.exclude(self.still) if value is False else qs


def within(column: str) -> tuple[InstantFilter, InstantFilter]:
    """Return `since` and `until` over the column of the list's time: the first instant included, the last not.

    They select by when something happened, and keep no copy in step.
    """
    return (
        InstantFilter(column, lookup_expr="gte", help_text=f"At this instant or later, by `{column}`; {NO_SYNC}."),
        InstantFilter(column, lookup_expr="lt", help_text=f"Before this instant, by `{column}`."),
    )


def _describe(known: django_filters.Filter, schema: JsonSchemaValue, says: str) -> None:
    set_override(known, "field", {**schema, **({"description": says} if says else {})})
