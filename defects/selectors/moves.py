"""Moves of barred units for reading, and in which state a limited move is."""

from django.db.models import QuerySet

from defects.enums import MoveState
from defects.models import LimitedMove, YardMove


def yard_move_rows() -> QuerySet[YardMove]:
    """Yard moves with what they name, in one statement."""
    return YardMove.objects.select_related("unit", "site", "person")


def limited_move_rows() -> QuerySet[LimitedMove]:
    """Limited moves with what they name, in one statement."""
    return LimitedMove.objects.select_related("unit", "driver", "approved_by")


def move_state(move: LimitedMove) -> str:
    """Allowed or ended; one whose time has passed is still to be ended by whoever drove it."""
    return MoveState.ALLOWED if move.ended_at is None else MoveState.ENDED
