"""Kinds of query parameters that lists need: a unit by reference, true or false, a day on which something holds."""

from datetime import date
from functools import reduce
from operator import or_
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field

from fleet.rules.references import parse_reference


class UnitRefFormField(forms.CharField):
    """A unit as people name it."""

    def clean(self, value: Any) -> Any:
        """Return the reference as it was written; `invalid` for a text that could name no unit."""
        given = super().clean(value)
        if given and parse_reference(given) is None:
            raise forms.ValidationError("not a unit", code="unit_reference_malformed")
        return given


@extend_schema_field(OpenApiTypes.STR)
class UnitRefFilter(filters.CharFilter):
    """Rows of one unit, named by number, `number@owner` or key; `field_name` is the way to the unit ("" for itself)."""

    field_class = UnitRefFormField

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Return the rows; none for a unit that there is not."""
        return qs.filter(unit_condition(value, _path(self.field_name))) if value else qs


class UnitRefsFormField(forms.MultipleChoiceField):
    """Any number of units as people name them; each is read as one alone is."""

    def to_python(self, value: Any) -> list[Any]:
        """Return the references as they were written; `unit_reference_malformed` as above."""
        return [UnitRefFormField().clean(ref) for ref in super().to_python(value)]

    def validate(self, value: Any) -> None:
        """Accept any reference: what it names is looked up with the rows."""


@extend_schema_field({"type": "array", "items": {"type": "string"}})
class UnitRefsFilter(filters.Filter):
    """Rows of any of several units, `unit=NL-11&unit=LR-41`; list its parameter in the filter set's `multiple`."""

    field_class = UnitRefsFormField

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Return the rows of the units named, all rows when none is; a unit that there is not adds none."""
        conditions = [unit_condition(ref, _path(self.field_name)) for ref in value or ()]
        return qs.filter(reduce(or_, conditions)) if conditions else qs


def _path(field_name: str | None) -> str:
    return f"{field_name}__" if field_name else ""


def unit_condition(ref: str, path: str) -> Q:
    """Return the condition that the unit behind `path` is the one that a well-formed reference names."""
    reference = parse_reference(ref)
    if reference is None:
        raise ValueError(ref)
    if reference.key is not None:
        return Q(**{f"{path}pk": reference.key})
    return Q(
        **{
            f"{path}number__iexact": reference.number,
            f"{path}owner__iexact": reference.owner,
            f"{path}retired_on__isnull": True,
        }
    )


@extend_schema_field(OpenApiTypes.BOOL)
class FlagFilter(filters.TypedChoiceFilter):
    """`true` or `false`, nothing else; with a `method` it is given a bool."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(choices=(("true", "true"), ("false", "false")), coerce=lambda text: text == "true", **kwargs)


class EndedFilter(FlagFilter):
    """`true` for rows that have an end in `column`; without the parameter, as with `false`, those that have none."""

    def __init__(self, column: str) -> None:
        self.column = column
        super().__init__()

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Return the rows."""
        return qs.filter(**{f"{self.column}__isnull": value is not True})


def holds_on(queryset: QuerySet[Any], _name: str, day: date) -> QuerySet[Any]:
    """Return the rows whose days include one, last day included."""
    return queryset.filter(starts_on__lte=day).filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))


def running(column: str) -> Any:
    """Return a filter method: true for rows whose end, in `column`, is still open."""

    def method(queryset: QuerySet[Any], _name: str, value: Any) -> QuerySet[Any]:
        return queryset.filter(**{f"{column}__isnull": value})

    return method
