"""Query parameters: what a view does not know is refused, so that a misspelt filter never answers for everything."""

from collections.abc import Iterable, Mapping
from functools import reduce
from typing import Any

from django import forms
from django.db.models import QuerySet
from django_filters import FilterSet
from django_filters import rest_framework as django_filters
from rest_framework.request import Request
from rest_framework.settings import api_settings
from rest_framework.views import APIView

from common.api.permissions import action_name
from common.errors import FieldProblem, NotFound, Unreadable, unknown_parameters
from common.messages import registered_codes
from common.text import storage_fault

PAGING = ("cursor", "limit")
"""The paginator's own parameters, which it looks at itself."""
SEVERAL = forms.MultipleChoiceField
"""Filters with such a field may be given several times."""


class StrictFilterSet(django_filters.FilterSet):
    """The base of every filter set. List the filters explicitly; kinds of them are in `common.api.filter_kinds`."""


class StrictFilterBackend(django_filters.DjangoFilterBackend):
    """Applies a view's `filterset_class`; Unreadable `invalid_parameter` with each parameter that is refused."""

    filterset_base = StrictFilterSet

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: APIView) -> QuerySet[Any]:
        """Return the rows that the query asks for; where it names no filter, what each leaves by itself."""
        filters = getattr(getattr(view, "filterset_class", None), "base_filters", {})
        if filters.keys().isdisjoint(request.query_params):  # a form costs more than the rows of a page
            return reduce(lambda rows, each: each.filter(rows, None), filters.values(), queryset)
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

    Known are: for a list the filters of `filterset_class` and the paginator's own; `flag_parameters` of the view's
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
        unknown = set(request.query_params) - known
        if unknown:
            raise unknown_parameters(unknown, known)
        filters = getattr(getattr(self, "filterset_class", None), "base_filters", {})
        for name, values in request.query_params.lists():
            if len(values) > 1 and not (name in filters and issubclass(filters[name].field_class, SEVERAL)):
                problem = FieldProblem("", "repeated_parameter", {"name": name}, name)
                raise Unreadable("repeated_parameter", problems=[problem], name=name)
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
    if code == "invalid" and isinstance(field, forms.IntegerField):
        code = "not_whole"
    return FieldProblem("", code if code in registered_codes() else "invalid", parameter=name)
