"""What a list of loads may be asked for."""

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from defects.enums import TemperatureClass
from defects.models import Load
from defects.selectors.loads.loads import in_state
from defects.transitions import LOADS
from fleet.api.requests.filters import UnitRefFilter
from fleet.models.base import choices


class LoadFilters(StrictFilterSet):
    """By state, by the trailer they are in or planned for, and by what they need of the box."""

    state = filters.ChoiceFilter(choices=[(state, state) for state in LOADS.states], method="by_state")
    open = OpenFilter(Q(delivered_at__isnull=True, cancelled_at__isnull=True))
    trailer = UnitRefFilter("trailer")
    temperature_class = filters.ChoiceFilter(choices=choices(TemperatureClass))
    since, until = within("recorded_at")

    def by_state(self, rows: QuerySet[Load], _name: str, value: str) -> QuerySet[Load]:
        """Those in one state."""
        return in_state(rows, value)
