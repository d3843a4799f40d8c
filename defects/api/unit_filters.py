"""Query filters that take units as people name them."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet
from django_filters import rest_framework as filters

from fleet.selectors import resolve_units


class _Refs(forms.MultipleChoiceField):
    """The references as they were given; what they name is looked up by the filter."""

    def validate(self, value: Any) -> None:
        """Anything may be a reference."""


class UnitsFilter(filters.Filter):
    """`unit=NL-11&unit=QX-9003@Owner`: rows of any of these units; a name that names none finds nothing."""

    field_class = _Refs

    def filter(self, qs: QuerySet[Any], value: Sequence[str]) -> QuerySet[Any]:
        """The rows of the units named; all rows when none is."""
        if not value:
            return qs
        units = resolve_units(value).values()
        return qs.filter(**{f"{self.field_name}__in": [unit.pk for unit in units]})
