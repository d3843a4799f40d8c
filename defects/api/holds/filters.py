"""What a list of holds may be asked for."""

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from defects.enums import HoldKind
from defects.models import Hold
from fleet.api.requests.filters import UnitRefsFilter
from fleet.models.base import choices


class HoldFilters(StrictFilterSet):
    """By unit, kind, whether they were lifted, and whether the lift is flagged."""

    unit = UnitRefsFilter(field_name="unit")
    kind = filters.ChoiceFilter(choices=choices(HoldKind))
    flagged = FlagFilter(method="by_flag")
    open = OpenFilter(Q(lifted_at__isnull=True))
    since, until = within("placed_at")

    def by_flag(self, rows: QuerySet[Hold], _name: str, value: bool) -> QuerySet[Hold]:
        """Those whose lifting a reader should know something of, or all the others."""
        return rows.exclude(lift_flag="") if value else rows.filter(lift_flag="")
