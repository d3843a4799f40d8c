"""What a list of refusals may be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import StrictFilterSet
from common.choices import choices
from defects.enums import RefusalState
from defects.models import Refusal
from fleet.api.requests.references import UnitRefsFilter


class RefusalFilters(StrictFilterSet):
    """By unit, and whether a second person has looked."""

    multiple = frozenset({"unit"})

    unit = UnitRefsFilter(field_name="unit")
    state = filters.ChoiceFilter(choices=choices(RefusalState), method="by_state")

    class Meta:
        model = Refusal
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Refusal], _name: str, value: str) -> QuerySet[Refusal]:
        """Waiting ones, or those looked at."""
        return rows.filter(second_look__isnull=value == RefusalState.WAITING)
