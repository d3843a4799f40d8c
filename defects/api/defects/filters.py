"""What a list of defects may be asked for."""

from typing import Any

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import FlagFilter, StrictFilterSet
from common.choices import choices
from defects.api.catalogue.in_force import catalogue_for
from defects.enums import OPEN_DEFECT_STATES, Bars, DefectState, Severity
from defects.models import Defect
from defects.rules.catalogue.closed_sets import System
from defects.selectors.defects.defects import points_of_system
from fleet.api.requests.authentication import service_request
from fleet.api.requests.references import UnitRefsFilter


class DefectFilters(StrictFilterSet):
    """By unit, state, severity, what they bar, whether graded, system, and whether still open."""

    multiple = frozenset({"unit", "state", "severity"})

    unit = UnitRefsFilter(field_name="unit")
    state = filters.MultipleChoiceFilter(choices=choices(DefectState))
    severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    bars = filters.ChoiceFilter(choices=choices(Bars))
    graded = FlagFilter()
    open = FlagFilter(method="by_open")
    system = filters.ChoiceFilter(choices=[(str(word), str(word)) for word in System], method="by_system")

    class Meta:
        model = Defect
        fields: tuple[str, ...] = ()

    def by_open(self, rows: QuerySet[Defect], _name: str, value: bool) -> QuerySet[Defect]:
        """Those that no certificate of repair has ended, or all the others."""
        return rows.filter(state__in=OPEN_DEFECT_STATES) if value else rows.exclude(state__in=OPEN_DEFECT_STATES)

    def by_system(self, rows: QuerySet[Defect], _name: str, value: Any) -> QuerySet[Defect]:
        """Those at points of the system."""
        catalogue = catalogue_for(service_request(self.request))
        return rows.filter(point__in=points_of_system(catalogue, value))
