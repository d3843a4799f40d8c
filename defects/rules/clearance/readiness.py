"""What the driver must still do before driving a unit: the walk, the review."""

from collections.abc import Iterable

from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest, utc
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.unit_facts import UnitFacts
from defects.rules.walkarounds.due import INTERVAL


def judge_walk(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """The driver who is to drive must have walked the unit, not longer ago than the carrier's policy says.

    What was walked alone, or with others, was not asked for this coupling, and another driver's look at it is not this
    one's (392.7(a)): it is walked again before it rolls so.
    """
    if unit.walk is None:
        draft.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "never_walked"),))
        return
    walked_at = utc(unit.walk.at)
    walked: Facts = (("walked_at", walked_at),)
    due = walked_at + clearance_request.policy.walk_valid_for
    if clearance_request.driver and clearance_request.driver not in {unit.walk.by, unit.walk.team_mate}:
        draft.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "another_driver"), *walked))
    elif clearance_request.leave >= due:
        draft.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "too_long_ago"), *walked), since=due)
    elif unit.coupling_walked_by is not None and clearance_request.driver not in unit.coupling_walked_by:
        draft.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "coupling_not_walked"), *walked))
    else:
        draft.ends(due, Code.WALK_DUE, unit.ref, walked)


def judge_full_walk(units: Iterable[UnitFacts], draft: DraftAnswer) -> None:
    """What is due weekly and was not done is said once for all units; no rule bars for it."""
    due = tuple(unit.ref for unit in units if unit.full_walk_due)
    if due:
        draft.leave_open(Code.FULL_WALK_DUE, "", (("units", due), ("days", INTERVAL.days)))


def judge_reviews(unit: UnitFacts, draft: DraftAnswer) -> None:
    """Reports and certificates since the last review are to be seen and signed for, in one step for the unit."""
    instants = [report.at for report in unit.reports_to_review] + [due.at for due in unit.certificates_to_review]
    if instants:
        facts: Facts = (
            ("reports", tuple(sorted(report.number for report in unit.reports_to_review))),
            ("certificates", tuple(sorted(certificate.number for certificate in unit.certificates_to_review))),
        )
        since = min(instants)
        draft.step(Code.REVIEW_NOT_SIGNED, unit.ref, EndsWhen.REVIEW_SIGNED, facts, since=since)
