"""What lists of units can be cut down to."""

from typing import Any

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import FlagFilter, KnownFilter, OpenFilter
from common.api.filters import StrictFilterSet
from fleet.api.requests.filters import SiteRefFilter
from fleet.enums import Location, UnitKind
from fleet.models import Unit
from fleet.models.base import choices
from fleet.selectors.units.whereabouts import is_at


class LocationFilter(filters.ChoiceFilter):
    """Units that are in such a place by what was said of them last."""

    def __init__(self) -> None:
        super().__init__(choices=choices(Location))

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        return qs.filter(is_at(location=value)) if value else qs


class AtSiteFilter(SiteRefFilter):
    """Units that are at a site by what was said of them last."""

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        return qs.filter(is_at(site__code=value)) if value else qs


class OneKindFilter(StrictFilterSet):
    """Units of one kind; retired ones only when asked for those that are not open."""

    owner = KnownFilter(known=lambda owner: Unit.objects.filter(owner__iexact=owner).exists(), lookup_expr="iexact")
    ours = FlagFilter(method="by_ours")
    home_site = SiteRefFilter("home_site__code")
    location = LocationFilter()
    at_site = AtSiteFilter()
    plate = filters.CharFilter(lookup_expr="iexact")
    vin = filters.CharFilter(lookup_expr="iexact")
    open = OpenFilter(Q(retired_on__isnull=True), by_default=True)

    def by_ours(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return our own units, or those of others."""
        return queryset.filter(owner="") if value else queryset.exclude(owner="")


class UnitFilter(OneKindFilter):
    """Units of all kinds."""

    kind = filters.ChoiceFilter(choices=choices(UnitKind))
