"""What the yard can be asked for."""

from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from fleet.api.filter_fields import UnitRefsFilter
from fleet.enums import UnitKind
from fleet.models import Unit


class YardFilterSet(StrictFilterSet):
    """By unit (several allowed), kind and home site."""

    multiple = frozenset({"unit"})
    unit = UnitRefsFilter(field_name="")
    kind = filters.ChoiceFilter(choices=UnitKind.choices)
    site = filters.CharFilter(field_name="home_site__code", lookup_expr="iexact")

    class Meta:
        model = Unit
        fields: tuple[str, ...] = ()
