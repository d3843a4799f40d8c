"""What a list of reports may be asked for."""

from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters

from common.api.filter_kinds import FlagFilter, within
from common.api.filters import StrictFilterSet
from common.errors import NotAllowed
from defects.enums import WalkaroundKind
from defects.models import Report
from fleet.api.requests.authentication import service_request
from fleet.api.requests.filters import UnitRefsFilter, WorkOfPersonFilter, whose
from fleet.enums import Role
from fleet.models.base import choices

SEE_FLAGGED = frozenset({Role.FOREMAN, Role.MECHANIC, Role.COMPLIANCE, Role.AUDITOR})


class ReportFilters(StrictFilterSet):
    """By unit and whether it is known, driver, kind of walk-around, when, and whether something must be looked at."""

    unit = UnitRefsFilter(field_name="unit")
    person = WorkOfPersonFilter(method="by_person", help_text="Signed by this person: `me`, or a key.")
    kind = filters.ChoiceFilter(choices=choices(WalkaroundKind), field_name="walkaround__kind")
    since, until = within("performed_at")
    flagged = FlagFilter(method="by_flagged")
    unit_known = FlagFilter(field_name="unit", lookup_expr="isnull", exclude=True)

    def by_person(self, rows: QuerySet[Report], _name: str, value: UUID | str) -> QuerySet[Report]:
        return rows.filter(walkaround__person_id=whose(value, service_request(self.request).person))

    def by_flagged(self, rows: QuerySet[Report], _name: str, value: bool) -> QuerySet[Report]:
        """Those with something to look at, or without; NotAllowed for whoever does not look at it."""
        if SEE_FLAGGED.isdisjoint(service_request(self.request).person.current_roles):
            raise NotAllowed("role_not_allowed", roles=sorted(SEE_FLAGGED))
        nothing = Q(flags=[], walkaround__flags=[])
        return rows.exclude(nothing) if value else rows.filter(nothing)
