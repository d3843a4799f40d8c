"""What a list of refusals may be asked for."""

from django.db.models import Q

from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from fleet.api.requests.filters import UnitRefsFilter


class RefusalFilters(StrictFilterSet):
    """By unit, whether a second person has looked, and when."""

    unit = UnitRefsFilter("unit")
    open = OpenFilter(Q(second_look__isnull=True))
    since, until = within("refused_at")
