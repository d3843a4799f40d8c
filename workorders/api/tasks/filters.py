"""What the list of repair tasks can be cut down to."""

from django_filters import rest_framework as filters

from common.api.filters import NumberedFilter, StrictFilterSet
from common.choices import choices
from fleet.api.requests.references import UnitRefFilter
from fleet.enums import Scope
from workorders.enums import TaskState


class TaskFilter(StrictFilterSet):
    """Repair tasks."""

    multiple = frozenset({"state"})

    state = filters.MultipleChoiceFilter(choices=choices(TaskState))
    order = NumberedFilter(field_name="order__number")
    unit = UnitRefFilter(field_name="order__unit")
    site = filters.CharFilter(field_name="order__site__code")
    lead = filters.UUIDFilter()
    scope = filters.ChoiceFilter(choices=choices(Scope))
