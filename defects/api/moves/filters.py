"""What lists of moves may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from defects.api.moves.serializers import MOVE_STATES
from defects.models import LimitedMove, YardMove
from fleet.api.filter_fields import UnitRefsFilter


class YardMoveFilters(StrictFilterSet):
    """By unit."""

    multiple = frozenset({"unit"})

    unit = UnitRefsFilter(field_name="unit")

    class Meta:
        model = YardMove
        fields: tuple[str, ...] = ()


class LimitedMoveFilters(StrictFilterSet):
    """By unit, and whether ended."""

    multiple = frozenset({"unit"})

    unit = UnitRefsFilter(field_name="unit")
    state = filters.ChoiceFilter(choices=[(state, state) for state in MOVE_STATES], method="by_state")

    class Meta:
        model = LimitedMove
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[LimitedMove], _name: str, value: str) -> QuerySet[LimitedMove]:
        """Those still allowed, or those ended."""
        return rows.filter(ended_at__isnull=value == "allowed")
