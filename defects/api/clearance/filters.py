"""What the yard and the clearance requests on record can be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filters import InstantFilter, StrictFilterSet
from common.choices import choices
from defects.enums import ClearanceAnswer
from defects.models import Clearance
from fleet.api.requests.references import UnitRefFilter, UnitRefsFilter
from fleet.enums import UnitKind
from fleet.models import Unit


class YardFilterSet(StrictFilterSet):
    """By unit (several allowed), kind and home site, and by the answer, which is found only after the page is cut."""

    multiple = frozenset({"unit"})
    unit = UnitRefsFilter(field_name="pk")
    kind = filters.ChoiceFilter(choices=choices(UnitKind))
    site = filters.CharFilter(field_name="home_site__code", lookup_expr="iexact")
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer), method="with_any_answer")

    class Meta:
        model = Unit
        fields: tuple[str, ...] = ()

    def with_any_answer(self, rows: QuerySet[Unit], _name: str, _value: str) -> QuerySet[Unit]:
        """All of them: the answer is no column; the view leaves out what answers otherwise."""
        return rows


class ClearanceFilterSet(StrictFilterSet):
    """By a unit asked for, by answer, and by when it was asked."""

    unit = UnitRefFilter(field_name="units")
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer))
    asked_from = InstantFilter(field_name="asked_at", lookup_expr="gte")
    asked_before = InstantFilter(field_name="asked_at", lookup_expr="lt")

    class Meta:
        model = Clearance
        fields: tuple[str, ...] = ()
