"""What the yard can be asked for."""

from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from defects.api.unit_filters import UnitsFilter
from fleet.enums import UnitKind
from fleet.models import Unit


class YardFilterSet(StrictFilterSet):
    """By unit (several allowed), kind and home site."""

    multiple = frozenset({"unit"})
    unit = UnitsFilter(field_name="pk")
    kind = filters.ChoiceFilter(choices=UnitKind.choices)
    site = filters.CharFilter(field_name="home_site__code", lookup_expr="iexact")

    class Meta:
        model = Unit
        fields: tuple[str, ...] = ()
