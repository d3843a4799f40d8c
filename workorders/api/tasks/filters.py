"""What the list of repair tasks can be cut down to."""

from django.db.models import Q
from django_filters import rest_framework as filters

from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter, UnitRefFilter
from fleet.enums import Scope
from fleet.models.base import choices
from workorders.api.requests import OrderRefFilter
from workorders.enums import ACTIVE_TASK_STATES, TaskState


class TaskFilter(StrictFilterSet):
    """Repair tasks."""

    state = filters.MultipleChoiceFilter(choices=choices(TaskState))
    open = OpenFilter(Q(state__in=ACTIVE_TASK_STATES))
    order = OrderRefFilter("order")
    unit = UnitRefFilter("order__unit")
    site = SiteRefFilter("order__site__code")
    lead = PersonRefFilter()
    since, until = within("opened_at")
    scope = filters.ChoiceFilter(choices=choices(Scope))
