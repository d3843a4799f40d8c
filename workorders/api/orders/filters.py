"""What the list of repair orders can be cut down to."""

from typing import Any

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import FlagFilter, InstantFilter, StrictFilterSet
from common.choices import choices
from defects.enums import Severity
from fleet.api.requests.references import UnitRefFilter
from workorders.enums import ACTIVE_ORDER_STATES, OrderState, WaitingFor


class OrderFilter(StrictFilterSet):
    """Repair orders; `standing` leaves those neither closed nor cancelled."""

    multiple = frozenset({"state", "worst_severity"})

    state = filters.MultipleChoiceFilter(choices=choices(OrderState))
    standing = FlagFilter(method="by_standing")
    unit = UnitRefFilter(field_name="unit")
    site = filters.CharFilter(field_name="site__code")
    assigned_to = filters.UUIDFilter()
    waiting_for = filters.ChoiceFilter(choices=choices(WaitingFor))
    worst_severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    expected_by = InstantFilter(field_name="expected_at", lookup_expr="lte")
    opened_since = InstantFilter(field_name="opened_at", lookup_expr="gte")

    def by_standing(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return standing orders, or ended ones."""
        states = {"state__in": ACTIVE_ORDER_STATES}
        return queryset.filter(**states) if value else queryset.exclude(**states)
