"""What lists can be cut down to. A parameter that is not here is refused, and so is a value that is none of its own."""

from typing import Any

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import InstantFilter, StrictFilterSet
from common.choices import choices
from fleet.api.filter_fields import EndedFilter, FlagFilter, UnitRefFilter, holds_on, running
from fleet.enums import MeterKind, ReadingState, Role, Scope, UnitKind
from fleet.selectors.notifications.reach import HAS_ADDRESS


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


class CouplingFilter(StrictFilterSet):
    """Combinations."""

    unit = UnitRefFilter(field_name="members__unit")
    current = FlagFilter(method=running("ended_at"))
    taken_over = FlagFilter()


class MountingFilter(StrictFilterSet):
    """Mountings."""

    trailer = UnitRefFilter(field_name="trailer__unit")
    cooling_unit = UnitRefFilter(field_name="cooling_unit__unit")
    current = FlagFilter(method=running("span__endswith"))


class ReadingFilter(StrictFilterSet):
    """Meter readings."""

    unit = UnitRefFilter(field_name="unit")
    meter = filters.ChoiceFilter(choices=choices(MeterKind))
    state = filters.ChoiceFilter(choices=choices(ReadingState))
    since = InstantFilter(field_name="read_at", lookup_expr="gte")
    until = InstantFilter(field_name="read_at", lookup_expr="lt")


class ReplacementFilter(StrictFilterSet):
    """Replaced meters."""

    unit = UnitRefFilter(field_name="unit")
    meter = filters.ChoiceFilter(choices=choices(MeterKind))


class PersonFilter(StrictFilterSet):
    """People; those who left only when asked for."""

    name = filters.CharFilter(lookup_expr="icontains")
    role = filters.ChoiceFilter(choices=choices(Role), method="by_role")
    home_site = filters.CharFilter(field_name="home_site__code")
    left = EndedFilter("left_on")
    has_address = FlagFilter(method="by_address")

    def by_address(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return those whom a message can reach, by mail or at an address to post to, or those whom none can."""
        return queryset.filter(HAS_ADDRESS) if value else queryset.exclude(HAS_ADDRESS)

    def by_role(self, queryset: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Return those who hold the role or held it, each once."""
        return queryset.filter(roles__role=value).distinct()


class QualificationFilter(StrictFilterSet):
    """Qualifications."""

    person = filters.UUIDFilter()
    scope = filters.ChoiceFilter(choices=choices(Scope))
    on = filters.DateFilter(method=holds_on)


class DocumentFilter(StrictFilterSet):
    """Documents; replaced ones only when asked for."""

    unit = UnitRefFilter(field_name="unit")
    person = filters.UUIDFilter()
    kind = filters.CharFilter()
    carrier = FlagFilter(method="by_carrier")
    replaced = EndedFilter("replaced_at")
    ends_by = filters.DateFilter(field_name="ends_on", lookup_expr="lte")

    def by_carrier(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return the carrier's own papers, or those of units and people."""
        own = {"unit__isnull": True, "person__isnull": True}
        return queryset.filter(**own) if value else queryset.exclude(**own)


class TokenFilter(StrictFilterSet):
    """Devices."""

    person = filters.UUIDFilter()


class FeedFilter(StrictFilterSet):
    """Feeds of the expiry list."""

    person = filters.UUIDFilter()
