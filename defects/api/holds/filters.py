"""What a list of holds may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from defects.api.holds.serializers import HOLD_STATES
from defects.enums import HoldKind
from defects.models import Hold
from fleet.api.filter_fields import UnitRefsFilter


class HoldFilters(StrictFilterSet):
    """By unit, kind, and whether they stand or were lifted."""

    multiple = frozenset({"unit"})

    unit = UnitRefsFilter(field_name="unit")
    kind = filters.ChoiceFilter(choices=HoldKind.choices)
    state = filters.ChoiceFilter(choices=[(state, state) for state in HOLD_STATES], method="by_state")

    class Meta:
        model = Hold
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Hold], _name: str, value: str) -> QuerySet[Hold]:
        """Standing ones or lifted ones."""
        return rows.filter(lifted_at__isnull=value == "standing")
