"""What a list of loads at risk may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from common.choices import choices
from defects.enums import RiskState
from defects.models import LoadAtRisk
from fleet.api.filter_fields import UnitRefFilter


class LoadAtRiskFilters(StrictFilterSet):
    """By state, trailer and load."""

    state = filters.ChoiceFilter(choices=choices(RiskState))
    trailer = UnitRefFilter(field_name="trailer")
    load = filters.CharFilter(method="by_load")

    class Meta:
        model = LoadAtRisk
        fields: tuple[str, ...] = ()

    def by_load(self, rows: QuerySet[LoadAtRisk], _name: str, value: str) -> QuerySet[LoadAtRisk]:
        """Those of the load of that number."""
        return rows.filter(load__number=value.upper())
