"""The three kinds of units, each with its own body and output."""

from fleet.api.serializers.units import (
    CoolingUnitBody,
    CoolingUnitOut,
    TractorBody,
    TractorOut,
    TrailerBody,
    TrailerOut,
)
from fleet.api.views.units import OneKindViewSet, described
from fleet.enums import UnitKind


@described(TractorBody, TractorOut)
class TractorViewSet(OneKindViewSet):
    """Tractors."""

    kind = UnitKind.TRACTOR
    body = TractorBody
    output = TractorOut


@described(TrailerBody, TrailerOut)
class TrailerViewSet(OneKindViewSet):
    """Trailers."""

    kind = UnitKind.TRAILER
    body = TrailerBody
    output = TrailerOut


@described(CoolingUnitBody, CoolingUnitOut)
class CoolingUnitViewSet(OneKindViewSet):
    """Cooling units."""

    kind = UnitKind.COOLING_UNIT
    body = CoolingUnitBody
    output = CoolingUnitOut
