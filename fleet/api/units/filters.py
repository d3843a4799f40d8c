"""What lists of units can be cut down to."""

from typing import Any

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import EndedFilter, FlagFilter, StrictFilterSet
from common.choices import choices
from fleet.enums import UnitKind


class OneKindFilter(StrictFilterSet):
    """Units of one kind; retired ones only when asked for."""

    owner = filters.CharFilter(lookup_expr="iexact")
    ours = FlagFilter(method="by_ours")
    home_site = filters.CharFilter(field_name="home_site__code")
    plate = filters.CharFilter(lookup_expr="iexact")
    vin = filters.CharFilter(lookup_expr="iexact")
    retired = EndedFilter("retired_on")

    def by_ours(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return our own units, or those of others."""
        return queryset.filter(owner="") if value else queryset.exclude(owner="")


class UnitFilter(OneKindFilter):
    """Units of all kinds."""

    kind = filters.ChoiceFilter(choices=choices(UnitKind))
