"""The treads of a unit's tires: the newest at each place, how it wears, and the earliest day at its limit."""

from datetime import date, datetime, tzinfo
from decimal import Decimal
from typing import Annotated, Self
from uuid import UUID
from zoneinfo import ZoneInfo

from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.values import Instant, Text, Word
from common.api.views import takes
from common.messages import Message
from defects.models import Measurement
from defects.rules.catalogue.catalogue import decimal_text
from defects.rules.catalogue.places import describe
from defects.rules.tires import Wear, WearUnknown
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import language_of
from defects.selectors.tires import TireWear, tire_wear
from defects.services.tires import mount_tire
from defects.transitions import MOUNT_TIRE
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ServiceView
from fleet.api.units.short import UnitShort
from fleet.selectors.carrier.carrier import effective_policies

FIGURES = ("readings", "per_10_000_mi", "limit", "miles_left", "limit_mi")


class TireAnswer(Answer):
    """The tread at one place in 32nds of an inch, and how it wears over the miles of its unit.

    The least-squares line through the readings of one tire; `limit_mi` is the true total at which one reading in twenty
    would be at the limit, `limit_on` the earliest day of it at the most miles that the unit drives in a day,
    `expected_on` the day by the line itself and its usual miles.
    """

    point: str
    place: str
    words: str
    casing: str = Field(description="serial of the casing on record there; empty where none is")
    value: str
    measured_at: datetime
    says: str
    unknown: Annotated[str, Word(WearUnknown, empty=True)] = Field(description="why no day is given; empty with one")
    readings: int | None
    per_10_000_mi: Decimal | None
    limit: Decimal | None
    miles_left: int | None
    limit_mi: int | None
    limit_on: date | None
    expected_on: date | None

    @classmethod
    def of_wear(cls, tire: TireWear, language: str, zone: tzinfo) -> Self:
        """Return the wear at a place in words."""
        last: Measurement = tire.last
        known = tire.wear if isinstance(tire.wear, Wear) else None
        figures = {name: None if known is None else getattr(known, name) for name in FIGURES}
        return cls(
            point=last.point,
            place=last.place,
            words=describe(last.place, language_of(language)),
            casing=tire.casing,
            value=decimal_text(last.value),
            measured_at=last.measured_at,
            says=messages.render(_said(tire.wear, zone), language),
            unknown="" if known else str(tire.wear),
            limit_on=limit_day(tire.wear, zone),
            expected_on=None if known is None else _day(known.expected_at, zone),
            **figures,
        )


def limit_day(wear: Wear | WearUnknown, zone: tzinfo) -> date | None:
    """The earliest day at the limit, by the carrier's calendar; None where it is not known."""
    return _day(wear.limit_at, zone) if isinstance(wear, Wear) else None


def _day(at: datetime | None, zone: tzinfo) -> date | None:
    return None if at is None else at.astimezone(zone).date()


def _said(wear: Wear | WearUnknown, zone: tzinfo) -> Message:
    if isinstance(wear, WearUnknown):
        return Message(f"tire_{wear}")
    earliest, expected = limit_day(wear, zone), _day(wear.expected_at, zone)
    facts: dict[str, object] = {"limit": decimal_text(wear.limit), "miles_left": wear.miles_left}
    if earliest is None or expected is None:
        return Message("tire_wears", facts)
    return Message("tire_wears_until", {**facts, "expected_on": expected, "limit_on": earliest})


class TireBody(Body):
    """A casing that stands at a place now, or from an instant on; what stood there, and where it stood, ends then."""

    casing: Annotated[str, Text(40)] = Field(description="the serial moulded into it")
    place: Annotated[str, Text(40)]
    mounted_at: Instant = ABSENT


class TireMountingAnswer(Answer):
    """A casing at a place of a unit."""

    id: UUID
    unit: UnitShort
    place: str
    casing: str
    mounted_at: datetime
    removed_at: datetime | None
    recorded_at: datetime
    recorded_by: PersonShort


class TiresView(ServiceView):
    """The tires of one unit, as far as their treads were measured."""

    roles = {"get": READERS_OF_DEFECTS, "post": MOUNT_TIRE}
    tag = "tires"

    @extend_schema(summary="How the tires of a unit wear", responses=list[TireAnswer])
    def get(self, request: ServiceRequest, ref: str) -> Response:
        """Every place with a measured tread, from the front."""
        effective = effective_policies(now=request.now)
        worn = tire_wear([unit_in_path(ref).pk], catalogue_in_force(effective.policies))
        zone = ZoneInfo(effective.zone)
        rows = sorted(worn.values(), key=lambda tire: (tire.last.place, tire.last.point))
        return Response([TireAnswer.of_wear(tire, request.person.language, zone) for tire in rows])

    @extend_schema(summary="Record which casing stands at a place", responses={201: TireMountingAnswer})
    @takes(TireBody)
    def post(self, request: ServiceRequest, body: TireBody, ref: str) -> Response:
        """Record which casing was mounted at a place, so that its treads stay one series wherever it goes."""
        mounting = mount_tire(
            unit_id=unit_in_path(ref).pk,
            casing=body.casing,
            place=body.place,
            mounted_at=body.mounted_at or request.now,
            actor=request.person,
            now=request.now,
        )
        return Response(TireMountingAnswer.of(mounting), status=201)
