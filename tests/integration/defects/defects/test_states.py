"""Every move from every state by every role through the services: where the table leads, else nothing changed."""

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from django.db import transaction

from common.errors import Conflict, NotAllowed
from defects.enums import Bars, DefectState, Severity
from defects.models import Certificate, Defect, Hold
from defects.services.defects.evidence import Until
from defects.services.defects.repair import put_in_repair
from defects.transitions import DEFECTS
from fleet.enums import Role
from tests.factories.fleet import history_of
from tests.support.yard import Yard

Move = Callable[[Yard, Defect], object]

MOVES: Mapping[str, Move] = {
    "certify_repaired": lambda yard, defect: yard.certify(
        defect, "greta", measured=yard.measured(), agent_reason="seen"
    ),
    "certify_unnecessary": lambda yard, defect: yard.dismiss(defect),
    "supersede": lambda yard, defect: yard.supersede(defect, **again(yard, defect)),
    "regrade": lambda yard, defect: yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT, "greta"),
    "enter_in_error": lambda yard, defect: yard.in_error(defect, "greta", measured=yard.measured("1.75")),
    "reopen": lambda yard, defect: yard.reopen(defect, "greta"),
}
OF_AN_UNGRADED_DEFECT = {"grade"}
FOLLOWS = {
    "certify_on_the_spot",
    "start_repair",
    "put_back",
    "put_back_deferred",
    "end_deferral",
    "close_on_certificate",
    "close_by_review",
}
"""What the service does by itself: the tests of what it follows from show it."""


def again(yard: Yard, defect: Defect) -> dict[str, Any]:
    if defect.state == DefectState.DEFERRED:
        return {"until": Until(on=yard.now.date())}
    return {"measured": yard.measured("1.60")}


def in_state(yard: Yard, state: DefectState) -> Defect:
    defect = yard.stroke()
    if state == DefectState.IN_REPAIR:
        put_in_repair(defect)
    elif state == DefectState.DEFERRED:
        yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
        yard.dismiss(defect, measured=yard.measured("1.80"))
    elif state == DefectState.CERTIFIED:
        yard.repaired_stroke(defect)
    elif state == DefectState.CLOSED:
        yard.repaired_stroke(defect)
        yard.review()
    elif state == DefectState.ENTERED_IN_ERROR:
        yard.in_error(defect, measured=yard.measured("1.75"))
    defect.refresh_from_db()
    assert defect.state == state
    return defect


def outcome(yard: Yard, defect: Defect, action: str) -> str:
    """The state that the move leads to, or the code of its refusal; the move is taken back."""
    before = (history_of(yard.trailer), Certificate.objects.count(), Hold.objects.count())
    with transaction.atomic():
        try:
            with transaction.atomic():
                MOVES[action](yard, defect)
            found: str = Defect.objects.get(pk=defect.pk).state
        except (NotAllowed, Conflict) as error:
            found = error.code
        after = (history_of(yard.trailer), Certificate.objects.count(), Hold.objects.count())
        assert (after == before) == (found not in list(DefectState))
        transaction.set_rollback(True)
    defect.refresh_from_db()
    return found


def test_moves__are_all_that_the_table_has() -> None:
    assert set(DEFECTS.actions) == MOVES.keys() | OF_AN_UNGRADED_DEFECT | FOLLOWS
    assert DEFECTS.roles_for(*FOLLOWS) == frozenset()


@pytest.mark.parametrize("state", DefectState)
def test_every_move_by_every_role__leads_where_the_table_says_or_changes_nothing(
    yard: Yard, state: DefectState
) -> None:
    defect = in_state(yard, state)
    for action in MOVES:
        rows = [row for row in DEFECTS.transitions if row.action == action]
        target = next((row.target for row in rows if state in row.sources), None)
        for role in Role:
            yard["greta"].current_roles = frozenset({role})
            found = outcome(yard, defect, action)
            if not any(role in row.roles for row in rows):
                assert found == "role_not_allowed", (action, role)
            elif target is None:
                assert found == "action_not_allowed", (action, role)
            else:
                assert found == expected(defect, action, target), (action, role)


def expected(defect: Defect, action: str, target: str) -> str:
    """Where a move leads: the table's target, but for what a rule beyond the table says of this finding."""
    if action == "certify_unnecessary" and defect.severity == Severity.DO_NOT_MOVE:
        return "dismissal_refused"
    if action == "regrade" and defect.state == DefectState.DEFERRED:
        return DefectState.REPORTED  # raised, it is no longer covered by its certificate
    return target
