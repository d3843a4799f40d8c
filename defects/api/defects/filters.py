"""What a list of defects may be asked for."""

from typing import Any

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from defects.api.catalogue.in_force import catalogue_for
from defects.enums import OPEN_DEFECT_STATES, Bars, DefectState, Severity
from defects.models import Defect
from defects.rules.catalogue.closed_sets import System
from defects.selectors.defects.defects import points_of_system
from fleet.api.requests.authentication import service_request
from fleet.api.requests.filters import UnitRefsFilter
from fleet.models.base import choices


class DefectFilters(StrictFilterSet):
    """By unit, state, severity, what they bar, whether graded, system, and whether still open."""

    unit = UnitRefsFilter(field_name="unit")
    state = filters.MultipleChoiceFilter(choices=choices(DefectState))
    severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    bars = filters.ChoiceFilter(choices=choices(Bars))
    graded = FlagFilter()
    open = OpenFilter(Q(state__in=OPEN_DEFECT_STATES))
    since, until = within("found_at")
    system = filters.ChoiceFilter(choices=[(str(word), str(word)) for word in System], method="by_system")

    def by_system(self, rows: QuerySet[Defect], _name: str, value: Any) -> QuerySet[Defect]:
        """Those at points of the system."""
        catalogue = catalogue_for(service_request(self.request))
        return rows.filter(point__in=points_of_system(catalogue, value))
