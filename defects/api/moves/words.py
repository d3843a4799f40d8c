"""Filling a move's answer. Decides nothing."""

from defects.api.defects.words import Body, person_body, unit_body
from defects.models import LimitedMove, YardMove
from defects.selectors.moves import move_state
from defects.transitions import LIMITED_MOVES
from fleet.models import Person


def yard_move_body(move: YardMove) -> Body:
    """One yard move."""
    return {
        "id": move.pk,
        "unit": unit_body(move.unit),
        "site": move.site.code,
        "from_place": move.from_place,
        "to_place": move.to_place,
        "reason": move.reason,
        "person": person_body(move.person),
        "moved_at": move.moved_at,
        "recorded_at": move.recorded_at,
    }


def limited_move_body(move: LimitedMove, person: Person) -> Body:
    """One limited move, and what the person may do with it."""
    return {
        "id": move.pk,
        "unit": unit_body(move.unit),
        "state": move_state(move),
        "found_at_place": move.found_at_place,
        "to_place": move.to_place,
        "distance_mi": str(move.distance_mi),
        "why_nearest": move.why_nearest,
        "why_less_hazardous": move.why_less_hazardous,
        "driver": person_body(move.driver),
        "driver_consented_at": move.driver_consented_at,
        "conditions": move.conditions,
        "approved_by": person_body(move.approved_by),
        "approved_at": move.approved_at,
        "ends_at": move.ends_at,
        "ended_at": move.ended_at,
        "end_note": move.end_note,
        "allowed_actions": LIMITED_MOVES.allowed_actions(move_state(move), person.current_roles),
    }
