"""What the list of repair orders can be cut down to."""

from django.db.models import Q
from django_filters import rest_framework as filters

from common.api.filter_kinds import InstantFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from defects.enums import Severity
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter, UnitRefFilter
from fleet.models.base import choices
from workorders.enums import ACTIVE_ORDER_STATES, OrderState, WaitingFor


class OrderFilter(StrictFilterSet):
    """Repair orders."""

    state = filters.MultipleChoiceFilter(choices=choices(OrderState))
    open = OpenFilter(Q(state__in=ACTIVE_ORDER_STATES))
    unit = UnitRefFilter("unit")
    site = SiteRefFilter("site__code")
    assigned_to = PersonRefFilter()
    waiting_for = filters.ChoiceFilter(choices=choices(WaitingFor))
    worst_severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    expected_by = InstantFilter("expected_at", lookup_expr="lte")
    since, until = within("opened_at")
