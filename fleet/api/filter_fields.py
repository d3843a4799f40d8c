"""Kinds of query parameters that lists need: a unit by reference, true or false, a day on which something holds."""

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field

from fleet.rules.units.references import parse_reference
from fleet.selectors.units.lookup import resolve_units


def units_behind(refs: Sequence[str]) -> list[UUID]:
    """Return the keys of the units named, in one statement; refused are a text that is no reference, and no unit."""
    if not all(parse_reference(ref) for ref in refs):
        raise forms.ValidationError("not a unit", code="unit_reference_malformed")
    found = resolve_units(refs)
    if len(found) < len(set(refs)):
        raise forms.ValidationError("no such unit", code="unit_unknown")
    return [unit.pk for unit in found.values()]


class UnitRefFormField(forms.CharField):
    """A unit as people name it."""

    def clean(self, value: Any) -> Any:
        """Return the unit's key, None for no reference; refused for what names none: a slip never looks clean."""
        given = super().clean(value)
        return units_behind([given])[0] if given else None


@extend_schema_field(OpenApiTypes.STR)
class UnitRefFilter(filters.CharFilter):
    """Rows of one unit, named by number, `number@owner` or key; `field_name` is the way to the unit."""

    field_class = UnitRefFormField


class UnitRefsFormField(forms.MultipleChoiceField):
    """Any number of units as people name them; each is read as one alone is."""

    def clean(self, value: Any) -> Any:
        """Return their keys; refused as above where one of the references names none."""
        return units_behind([forms.CharField().clean(ref) for ref in self.to_python(value)])


@extend_schema_field({"type": "array", "items": {"type": "string"}})
class UnitRefsFilter(filters.Filter):
    """Rows of any of several units, `unit=NL-11&unit=LR-41`; list its parameter in the filter set's `multiple`."""

    field_class = UnitRefsFormField

    def __init__(self, field_name: str) -> None:
        super().__init__(field_name=field_name, lookup_expr="in")

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Return the rows of the units named, all rows when none is."""
        return super().filter(qs, value or None)


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
