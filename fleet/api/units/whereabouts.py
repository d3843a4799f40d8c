"""Where units are, over HTTP: what drop walk-arounds and people said, newest first."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any
from uuid import UUID

from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.answers import Answer, InUtc
from common.api.bodies import Body
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import DecimalText, Flag, Instant, Text, Word
from common.api.views import takes
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import SiteRefFilter, UnitRefFilter
from fleet.api.requests.references import code_of, site_in_body, unit_in_body
from fleet.api.requests.roles import METER_READERS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import Location, RunningMode
from fleet.models import Whereabouts
from fleet.models.base import choices
from fleet.selectors.units.whereabouts import NEWEST
from fleet.services.units.whereabouts import Left, record_whereabouts


class WhereaboutsBody(Body):
    """Where a unit is from an instant on, and how it was left; `site` with a site, else `address` in words."""

    unit: UnitRef
    location: Location
    site: Annotated[str, Text(24)] | None = None
    address: Annotated[str, Text(200, may_be_blank=True)] = ""
    since: Instant
    legs_down: Flag | None = None
    doors_closed: Flag | None = None
    mode: RunningMode | None = None
    fuel_gal: Annotated[Decimal, DecimalText(5, 1, least=0)] | None = None
    seal: Annotated[str, Text(40, may_be_blank=True)] = ""
    note: Annotated[str, Text(1000, multiline=True, may_be_blank=True)] = ""


class WhereaboutsAnswer(Answer):
    """Where a unit is from an instant on. `walkaround` is the drop, pick-up or other walk-around that said so."""

    id: UUID
    unit: UnitShort
    location: Annotated[str, Word(Location)]
    site: str | None
    address: str
    since: InUtc
    legs_down: bool | None
    doors_closed: bool | None
    mode: Annotated[str, Word(RunningMode, empty=True)]
    fuel_gal: Decimal | None
    seal: str
    note: str
    walkaround: UUID | None
    recorded_at: datetime
    recorded_by: PersonShort


class WhereaboutsFilter(StrictFilterSet):
    """By unit and place; `open`: the newest of each unit, which is where it is now."""

    unit = UnitRefFilter("unit")
    location = filters.ChoiceFilter(choices=choices(Location))
    site = SiteRefFilter("site__code")
    open = OpenFilter(NEWEST)
    since, until = within("since")


class WhereaboutsViewSet(ListMixin):
    """Where units are and were, newest first."""

    roles = {"list": ANY_ROLE, "create": METER_READERS}
    filterset_class = WhereaboutsFilter
    ordering = ("-since",)
    shows = WhereaboutsAnswer
    tag = "whereabouts"
    queryset = Whereabouts.objects.select_related("unit", "site", "recorded_by")

    def answer_of(self, row: Any) -> WhereaboutsAnswer:
        return WhereaboutsAnswer.of(row, site=code_of(row.site), walkaround=row.walkaround_id)

    @takes(WhereaboutsBody)
    def create(self, request: ServiceRequest, body: WhereaboutsBody) -> Response:
        """Say where a unit is, and how it was left there."""
        left = Left(
            location=body.location,
            site=site_in_body(body.site, "/site"),
            address=body.address,
            legs_down=body.legs_down,
            doors_closed=body.doors_closed,
            mode=body.mode,
            fuel_gal=body.fuel_gal,
            seal=body.seal,
            note=body.note,
        )
        unit = unit_in_body(body.unit, "/unit")
        row = record_whereabouts(unit_id=unit.pk, left=left, since=body.since, actor=request.person, now=request.now)
        return self.shown(self.get_queryset().get(pk=row.pk), 201)
