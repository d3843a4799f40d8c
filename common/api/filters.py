"""Query parameters: what a view does not know is refused, so that a misspelt filter never answers for everything."""

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django_filters import FilterSet
from django_filters import rest_framework as django_filters
from django_filters import rest_framework as filters
from django_filters.fields import IsoDateTimeField
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework.request import Request
from rest_framework.settings import api_settings
from rest_framework.views import APIView

from common.api.instants import in_reach, read_instant
from common.api.permissions import action_name
from common.errors import FieldProblem, NotFound, Unreadable
from common.ids import LARGEST_NUMBER
from common.messages import registered_codes
from common.text import storage_fault

FORM_CODES = {"null_characters_not_allowed": "text_nul"}
SHAPES: Mapping[type[forms.Field], str] = {
    IsoDateTimeField: "not_an_instant",
    forms.DateField: "not_a_day",
    forms.DecimalField: "not_a_decimal",
    forms.IntegerField: "not_whole",
}
"""What a value that cannot be read as its kind of parameter should have been; the first that fits counts."""
PAGING = ("cursor", "limit")
"""The paginator's own parameters, which it looks at itself."""
_NONE: frozenset[str] = frozenset()


class InstantFormField(IsoDateTimeField):
    """An instant of a query, read as one of a body is."""

    def to_python(self, value: Any) -> datetime | None:
        """The aware instant, None for nothing; ValidationError `invalid` for what cannot be read or is out of reach."""
        if value in self.empty_values:
            return None
        instant = read_instant(value)
        if instant is None or instant.tzinfo is None or not in_reach(instant):
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return instant


class NumberFormField(forms.IntegerField):
    """A number that people call a row by."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{**kwargs, "min_value": 0, "max_value": LARGEST_NUMBER})

    def to_python(self, value: Any) -> int | None:
        """The number, None for nothing; ValidationError `invalid` for what is not written in digits alone."""
        if value not in self.empty_values and not re.fullmatch(r"\d+", str(value), re.ASCII):
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return super().to_python(value)


class NumberedFilter(django_filters.NumberFilter):
    """By the number that people call a row by."""

    field_class = NumberFormField


class InstantFilter(django_filters.IsoDateTimeFilter):
    """By an instant."""

    field_class = InstantFormField


class StrictFilterSet(django_filters.FilterSet):
    """The base of every filter set. List the filters explicitly; `multiple` names those that may be given twice."""

    multiple: frozenset[str] = frozenset()


class StrictFilterBackend(django_filters.DjangoFilterBackend):
    """Applies a view's `filterset_class`; Unreadable `invalid_parameter` with each parameter that is refused."""

    filterset_base = StrictFilterSet

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: APIView) -> QuerySet[Any]:
        """Return the rows that the query asks for."""
        filterset = self.get_filterset(request, queryset, view)
        if filterset is None:
            return queryset
        cleaned(filterset)
        return filterset.qs


def cleaned(filterset: FilterSet) -> Mapping[str, Any]:
    """Return what a query says by the names of the filters; Unreadable `invalid_parameter` naming each refused."""
    if not filterset.is_valid():
        raise Unreadable("invalid_parameter", problems=_problems(filterset))
    values: Mapping[str, Any] = filterset.form.cleaned_data
    return values


class StrictQueryMixin(APIView):
    """Refuses a query parameter that the view does not know (`unknown_parameter`), that is empty or stands there twice.

    Known are: for a list the filters of `filterset_class` and the paginator's own; `query_parameters` of the view's
    action; `format` where the view can answer in several forms.
    """

    query_parameters: Mapping[str, frozenset[str]] = {}
    """Action (or lower-case method of a plain view) to the parameters it takes besides filters and pages."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Look at the query once the caller is known and allowed."""
        super().initial(request, *args, **kwargs)
        if any(storage_fault(value) for value in kwargs.values() if isinstance(value, str)):
            raise NotFound("not_found")
        known = self.known_parameters(action_name(self, request))
        unknown = sorted(set(request.query_params) - known)
        if unknown:
            raise Unreadable("unknown_parameter", unknown=unknown, known=sorted(known))
        several = getattr(getattr(self, "filterset_class", None), "multiple", _NONE)
        for name, values in request.query_params.lists():
            if len(values) > 1 and name not in several:
                raise Unreadable("repeated_parameter", name=name)
            fault = next(filter(None, (storage_fault(str(value)) for value in values)), None)
            if fault is not None:
                raise Unreadable("invalid_parameter", problems=[FieldProblem("", fault, parameter=name)])
        empty = [name for name, value in request.query_params.items() if not value and name not in PAGING]
        if empty:  # a filter that is named but says nothing would answer for everything
            problems = [FieldProblem("", "blank", parameter=name) for name in empty]
            raise Unreadable("invalid_parameter", problems=problems)

    def known_parameters(self, action: str) -> frozenset[str]:
        """Return the names of the query parameters that an action takes."""
        names = set(self.query_parameters.get(action, ()))
        if len(self.renderer_classes) > 1 and api_settings.URL_FORMAT_OVERRIDE:
            names.add(api_settings.URL_FORMAT_OVERRIDE)
        if action == "list":
            names.update(self._list_parameters())
        return frozenset(names)

    def _list_parameters(self) -> Iterable[str]:
        filterset_class = getattr(self, "filterset_class", None)
        if filterset_class is not None:
            yield from filterset_class.base_filters
        if getattr(self, "pagination_class", None) is not None:
            yield from PAGING


def _problems(filterset: FilterSet) -> list[FieldProblem]:
    """Return a problem for each error of the form, under a code of ours: its own codes are no promise of anyone."""
    found = [
        (name, error.get("code") or "") for name, each in filterset.errors.get_json_data().items() for error in each
    ]
    return [_problem(name, code, filterset.form.fields[name]) for name, code in found]


def _problem(name: str, code: str, field: forms.Field) -> FieldProblem:
    if code == "invalid_choice":
        allowed = [str(value) for value, _ in getattr(field, "choices", ()) if value]
        return FieldProblem("", code, {"allowed": allowed}, name)
    if code == "invalid":
        code = next((shape for kind, shape in SHAPES.items() if isinstance(field, kind)), code)
    code = FORM_CODES.get(code, code)
    return FieldProblem("", code if code in registered_codes() else "invalid", parameter=name)


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
