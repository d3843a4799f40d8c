"""What the meters of a unit run in a day, and whether miles and hours explain each other."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Self

from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.api.permissions import ANY_ROLE
from common.api.values import Word
from common.messages import Message
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.views import ServiceView
from fleet.enums import MeterKind
from fleet.rules.units.trends import MeterFlag
from fleet.selectors.units.trends import MeterTrend, MeterTrends, meter_trends


class MeterTrendAnswer(Answer):
    """One meter: its newest true total, and what it runs in a day, between the bounds of a 95 % band."""

    meter: Annotated[str, Word(MeterKind)]
    total: Decimal
    read_at: datetime
    readings: int
    per_day: Decimal | None = Field(description="median of all slopes; null of fewer than four readings")
    per_day_least: Decimal | None
    per_day_most: Decimal | None

    @classmethod
    def of_trend(cls, meter: str, trend: MeterTrend) -> Self:
        last, band = trend.readings[-1], trend.daily
        median, low, high = (None, None, None) if band is None else map(_rounded, (band.median, band.low, band.high))
        return cls(
            meter=meter,
            total=last.total,
            read_at=last.at,
            readings=len(trend.readings),
            per_day=median,
            per_day_least=low,
            per_day_most=high,
        )


class MeterTrendsAnswer(Answer):
    """The meters of a unit. `flag` where its miles and its engine hours cannot both be right, or it idles."""

    unit: str
    meters: list[MeterTrendAnswer]
    flag: Annotated[str, Word(MeterFlag, empty=True)]
    says: str

    @classmethod
    def of_trends(cls, unit: str, trends: MeterTrends, language: str) -> Self:
        said = "" if trends.flag is None else messages.render(Message(f"meters_{trends.flag}"), language)
        meters = [MeterTrendAnswer.of_trend(meter, trend) for meter, trend in trends.meters.items()]
        return cls(unit=unit, meters=meters, flag=trends.flag or "", says=said)


def _rounded(value: float) -> Decimal:
    return Decimal(value).quantize(Decimal("0.1"))


class MeterTrendsView(ServiceView):
    """The trends of one unit's meters."""

    roles = {"get": ANY_ROLE}
    tag = "meter-readings"

    @extend_schema(summary="What the meters of a unit run in a day", responses=MeterTrendsAnswer)
    def get(self, request: ServiceRequest, ref: str) -> Response:
        """Every meter with an accepted reading."""
        unit = unit_in_path(ref)
        return Response(MeterTrendsAnswer.of_trends(str(unit), meter_trends(unit.pk), request.person.language))
