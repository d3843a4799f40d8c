"""What a list of holds may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import FlagFilter, StrictFilterSet
from common.choices import choices
from defects.enums import HoldKind
from defects.models import Hold
from fleet.api.requests.references import UnitRefsFilter
from fleet.enums import HoldState


class HoldFilters(StrictFilterSet):
    """By unit, kind, whether they stand or were lifted, and whether the lift is flagged."""

    multiple = frozenset({"unit"})

    unit = UnitRefsFilter(field_name="unit")
    kind = filters.ChoiceFilter(choices=choices(HoldKind))
    flagged = FlagFilter(method="by_flag")
    state = filters.ChoiceFilter(choices=choices(HoldState), method="by_state")

    class Meta:
        model = Hold
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Hold], _name: str, value: str) -> QuerySet[Hold]:
        """Standing ones or lifted ones."""
        return rows.filter(lifted_at__isnull=value == HoldState.ACTIVE)

    def by_flag(self, rows: QuerySet[Hold], _name: str, value: bool) -> QuerySet[Hold]:
        """Those whose lifting a reader should know something of, or all the others."""
        return rows.exclude(lift_flag="") if value else rows.filter(lift_flag="")
