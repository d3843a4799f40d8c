"""What the yard and the clearance requests on record can be asked for."""

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from defects.enums import ClearanceAnswer
from fleet.api.requests.filters import SiteRefFilter, UnitRefFilter, UnitRefsFilter
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.models.base import choices


class YardFilterSet(StrictFilterSet):
    """By unit (several allowed), kind and home site, and by the answer, which is found only after the page is cut."""

    unit = UnitRefsFilter(field_name="pk")
    kind = filters.ChoiceFilter(choices=choices(UnitKind))
    site = SiteRefFilter("home_site__code")
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer), method="with_any_answer")

    def with_any_answer(self, rows: QuerySet[Unit], _name: str, _value: str) -> QuerySet[Unit]:
        """All of them: the answer is no column; the view leaves out what answers otherwise."""
        return rows


class ClearanceFilterSet(StrictFilterSet):
    """By a unit asked for, by answer, and by when it was asked."""

    unit = UnitRefFilter("units")
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer))
    since, until = within("requested_at")
