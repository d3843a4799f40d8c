"""What lists of moves may be asked for."""

from django.db.models import Q

from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from fleet.api.requests.filters import UnitRefsFilter


class YardMoveFilters(StrictFilterSet):
    """By unit, and when."""

    unit = UnitRefsFilter("unit")
    since, until = within("moved_at")


class LimitedMoveFilters(StrictFilterSet):
    """By unit, whether ended, and when."""

    unit = UnitRefsFilter("unit")
    open = OpenFilter(Q(ended_at__isnull=True))
    since, until = within("approved_at")
