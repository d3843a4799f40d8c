"""Moves of barred units for reading, and in which state a limited move is."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import QuerySet

from defects.enums import MoveState
from defects.models import LimitedMove, YardMove
from defects.models.moves import odometer_readings


def yard_move_rows() -> QuerySet[YardMove]:
    """Yard moves with what they name, in one statement."""
    return YardMove.objects.select_related("unit", "site", "person")


def limited_move_rows() -> QuerySet[LimitedMove]:
    """Limited moves with what they name, in one statement."""
    return LimitedMove.objects.select_related("unit", "driver", "approved_by")


def move_state(move: LimitedMove) -> str:
    """Allowed or ended; one whose time has passed is still to be ended by whoever drove it."""
    return MoveState.ALLOWED if move.ended_at is None else MoveState.ENDED


def odometer_total(unit: UUID, *, since: datetime, until: datetime) -> Decimal | None:
    """The newest true total of a unit's odometer that was read between two instants; None where nobody read it."""
    return odometer_readings().filter(unit=unit, read_at__range=(since, until)).values_list("total", flat=True).first()
