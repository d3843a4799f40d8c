"""What the expiry list can be cut down to, and the question to the selectors that follows from it."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django.utils.functional import lazy
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema_field

from common.api.filter_kinds import DayFilter
from common.api.filters import StrictFilterSet, cleaned
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter, UnitRefFilter
from fleet.models import Document
from fleet.rules.documents.kinds import SUBJECTS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.selectors.documents.expiries.request import Question
from fleet.selectors.units.lookup import resolve_unit

LONGEST_HORIZON_DAYS = 3660
NO_UNIT = UUID(int=0)
"""What a reference that names no unit asks for: nothing."""


class DaysFormField(forms.IntegerField):
    """A number of days from today on."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_value=LONGEST_HORIZON_DAYS, **kwargs)


class _ExpiryFilter:
    """The rows come from a statement of their own, so that no filter touches the query set."""

    def filter(self, qs: QuerySet[Any], _value: Any) -> QuerySet[Any]:
        return qs


@extend_schema_field({"type": "integer", "minimum": 0, "maximum": LONGEST_HORIZON_DAYS})
class DaysFilter(_ExpiryFilter, filters.Filter):
    """A horizon in days; 0 is today."""

    field_class = DaysFormField


class ExpiryDayFilter(_ExpiryFilter, DayFilter):
    """A horizon as the last day that an end may lie on."""


class ExpirySiteFilter(_ExpiryFilter, SiteRefFilter):
    """A site by its code."""


class ExpiryPersonFilter(_ExpiryFilter, PersonRefFilter):
    """A person by key."""


class ChoiceFilter(_ExpiryFilter, filters.ChoiceFilter):
    """One word of a closed set."""


class ExpiryUnitFilter(_ExpiryFilter, UnitRefFilter):
    """A unit as people name it."""


class ExpiryFilter(StrictFilterSet):
    """Documents and qualifications that end, and documents that are missing or not known whatever the horizon."""

    within_days = DaysFilter()
    ends_by = ExpiryDayFilter()
    kind = ChoiceFilter(
        choices=lazy(lambda: [(name, name) for name in (*load_document_kinds(), *qualification_kinds())], list)()
    )
    subject = ChoiceFilter(choices=[(name, name) for name in sorted(SUBJECTS)])
    site = ExpirySiteFilter()
    unit = ExpiryUnitFilter()
    person = ExpiryPersonFilter()
    responsible = ExpiryPersonFilter()


def question_of(query: Any) -> Question:
    """Return what a query asks; Unreadable `invalid_parameter`."""
    values = cleaned(ExpiryFilter(query, queryset=Document.objects.none()))
    return question_from({**values, "unit": values["unit"] and str(values["unit"])})


def question_from(values: Mapping[str, Any]) -> Question:
    """Return the question behind values by the filters' names; a unit that there is not is asked for as nothing."""
    given = {name: value for name, value in values.items() if value not in (None, "")}
    ref = given.pop("unit", None)
    if ref is not None:
        unit = resolve_unit(ref)
        given["unit"] = NO_UNIT if unit is None else unit.pk
    for name in {"person", "responsible"} & given.keys():
        given[name] = UUID(str(given[name]))
    return Question(**given)
