"""What lists of units can be cut down to."""

from typing import Any

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import FlagFilter, KnownFilter, OpenFilter
from common.api.filters import StrictFilterSet
from fleet.api.requests.filters import SiteRefFilter
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.models.base import choices


class OneKindFilter(StrictFilterSet):
    """Units of one kind; retired ones only when asked for those that are not open."""

    owner = KnownFilter(known=lambda owner: Unit.objects.filter(owner__iexact=owner).exists(), lookup_expr="iexact")
    ours = FlagFilter(method="by_ours")
    home_site = SiteRefFilter("home_site__code")
    plate = filters.CharFilter(lookup_expr="iexact")
    vin = filters.CharFilter(lookup_expr="iexact")
    open = OpenFilter(Q(retired_on__isnull=True), by_default=True)

    def by_ours(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return our own units, or those of others."""
        return queryset.filter(owner="") if value else queryset.exclude(owner="")


class UnitFilter(OneKindFilter):
    """Units of all kinds."""

    kind = filters.ChoiceFilter(choices=choices(UnitKind))
