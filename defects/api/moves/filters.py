"""What lists of moves may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from common.choices import choices
from defects.enums import MoveState
from defects.models import LimitedMove, YardMove
from fleet.api.requests.references import UnitRefsFilter


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
    state = filters.ChoiceFilter(choices=choices(MoveState), method="by_state")

    class Meta:
        model = LimitedMove
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[LimitedMove], _name: str, value: str) -> QuerySet[LimitedMove]:
        """Those still allowed, or those ended."""
        return rows.filter(ended_at__isnull=value == MoveState.ALLOWED)
