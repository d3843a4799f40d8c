"""What the walk asks every time and has no answer: silence and "not reached" count alike, and honesty costs nothing.

On a statutory point it is one step of the driver's for the unit, never a bar. On a point of the carrier's own it is not
known, and so is what a driver began by choice and left.
"""

from collections.abc import Iterable, Mapping

from defects.enums import NotReached
from defects.rules.clearance.clearance_request import ClearanceRequest, utc
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.unit_facts import LeftFact, LookFact, UnitFacts

NAMED = 3
"""How many of the places are named; the rest are counted."""

NO_ANSWER = "no_answer"

Place = tuple[str, str]
"""Point and place."""


def judge_looks(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Weigh together the recent walk-arounds of the driver who is to drive and of the team mate.

    Without recorded axles a walk is held to as many as are usual; whether there are more nobody knows.
    """
    if not unit.axles_recorded:
        draft.not_known(Code.AXLES_NOT_RECORDED, unit.ref, EndsWhen.FACT_RECORDED)
    looks = _looks(unit, clearance_request)
    if not any(look.left for look in looks):
        return
    not_steps = {
        (row.area, row.why): row for row in _left(looks, looks).values() if not _is_step(row, clearance_request)
    }
    for row in not_steps.values():
        _note_unknown(row, unit.ref, clearance_request, draft)
    valid_for = clearance_request.policy.walk_valid_for
    lasting = [look for look in looks if utc(look.at) + valid_for > clearance_request.leave]
    due = _due(looks, lasting, clearance_request)
    if due:
        named = tuple(f"{row.point} {row.place}".strip() for row in due[:NAMED])
        facts = (("points", named), ("count", len(due)))
        draft.step(Code.NO_ANSWER_RECORDED, unit.ref, EndsWhen.POINTS_ANSWERED, facts)
        return
    for ended in lasting:
        if _due(looks, [look for look in lasting if look.at > ended.at], clearance_request):
            draft.ends(utc(ended.at) + valid_for, Code.NO_ANSWER_RECORDED, unit.ref, ())
            return


def _looks(unit: UnitFacts, clearance_request: ClearanceRequest) -> list[LookFact]:
    """The walk-arounds that count, oldest first: the named driver's, who must have walked it last, or everybody's."""
    if unit.walk is None or clearance_request.driver not in {"", unit.walk.by, unit.walk.team_mate}:
        return []
    mine = (look for look in unit.looks if clearance_request.driver in {"", look.by, look.team_mate})
    return sorted(mine, key=lambda look: (utc(look.at), look.by, look.team_mate, repr(look.left)))


def _left(looks: Iterable[LookFact], answering: Iterable[LookFact]) -> Mapping[Place, LeftFact]:
    """What some of the looks left and none of those answers; a reason that was given stands before silence."""
    answered: set[Place] = set().union(*(look.answers for look in answering))
    left: dict[Place, LeftFact] = {}
    for look in looks:
        for row in look.left:
            place = row.point, row.place
            if place not in answered and not (place in left and row.why == NO_ANSWER):
                left[place] = row
    return left


def _due(
    looks: Iterable[LookFact], answering: Iterable[LookFact], clearance_request: ClearanceRequest
) -> list[LeftFact]:
    return [row for row in _left(looks, answering).values() if _is_step(row, clearance_request)]


def _is_step(row: LeftFact, clearance_request: ClearanceRequest) -> bool:
    return row.statutory and row.required and not _is_sealed(row, clearance_request)


def _is_sealed(row: LeftFact, clearance_request: ClearanceRequest) -> bool:
    """Whether the load's seal keeps the driver from it: 392.9(b)(4) asks nothing of a driver told not to open it."""
    sealed = clearance_request.load is not None and clearance_request.load.sealed
    return sealed and row.behind_seal and row.why in {NotReached.SEALED, NO_ANSWER}


def _note_unknown(row: LeftFact, unit: str, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    rests = (
        _is_sealed(row, clearance_request)
        and clearance_request.load is not None
        and clearance_request.load.pre_load_checked
    )
    code = Code.RESTS_ON_PRE_LOAD_CHECK if rests else Code.AREA_NOT_REACHED
    draft.not_known(code, unit, EndsWhen.WALK_DONE, (("area", str(row.area)), ("why", row.why)))
