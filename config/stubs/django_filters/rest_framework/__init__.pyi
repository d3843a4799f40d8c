from typing import Any

from django.db.models import QuerySet
from rest_framework.filters import BaseFilterBackend
from rest_framework.request import Request
from rest_framework.views import APIView

from django_filters import BaseInFilter as BaseInFilter
from django_filters import BooleanFilter as _BooleanFilter
from django_filters import CharFilter as CharFilter
from django_filters import ChoiceFilter as ChoiceFilter
from django_filters import DateFilter as DateFilter
from django_filters import Filter as Filter
from django_filters import FilterSet as _FilterSet
from django_filters import IsoDateTimeFilter as IsoDateTimeFilter
from django_filters import MultipleChoiceFilter as MultipleChoiceFilter
from django_filters import NumberFilter as NumberFilter
from django_filters import TypedChoiceFilter as TypedChoiceFilter
from django_filters import UUIDFilter as UUIDFilter

class BooleanFilter(_BooleanFilter): ...
class FilterSet(_FilterSet): ...

class DjangoFilterBackend(BaseFilterBackend):
    filterset_base: type[_FilterSet]
    def get_filterset(self, request: Request, queryset: QuerySet[Any], view: APIView) -> _FilterSet | None: ...
    def get_filterset_class(self, view: APIView, queryset: QuerySet[Any] | None = None) -> type[_FilterSet] | None: ...
    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: APIView) -> QuerySet[Any]: ...
