"""What a list of officers' inspections may be asked for."""

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import DayFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from defects.enums import RoadsideState
from defects.models import RoadsideInspection
from defects.selectors.roadside import in_state
from fleet.api.requests.filters import UnitRefFilter
from fleet.models.base import choices


class RoadsideFilters(StrictFilterSet):
    """By unit, by the state of the answer, and by the last day on which an answer is due."""

    unit = UnitRefFilter("units")
    open = OpenFilter(Q(is_clean=False, answered_at__isnull=True))
    since, until = within("inspected_at")
    state_of_answer = filters.ChoiceFilter(choices=choices(RoadsideState), method="by_state")
    due_by = DayFilter("answer_due_on", lookup_expr="lte")

    def by_state(self, rows: QuerySet[RoadsideInspection], _name: str, value: str) -> QuerySet[RoadsideInspection]:
        """Those in one state."""
        return in_state(rows, value)
