"""What stands against one unit whoever drives it and whatever it carries: holds, refusals, gaps in a unit of others."""

from defects.rules.clearance.asking import Asking
from defects.rules.clearance.codes import Code
from defects.rules.clearance.facts import HoldFact, UnitFacts
from defects.rules.clearance.findings import Findings
from defects.rules.clearance.words import EndsWhen, HoldBy
from defects.rules.vocabulary import Bars, UnitKind


def judge_holds(unit: UnitFacts, asking: Asking, findings: Findings) -> None:
    """Every standing hold bars; a carrier's on cold freight alone, only such freight that is still to be loaded."""
    for hold in unit.holds:
        if hold.bars is not Bars.COLD_FREIGHT or hold.by is HoldBy.OFFICER or (asking.cold and not asking.pre_loaded):
            _bar_by_hold(hold, unit.ref, asking, findings)


def judge_refusals(unit: UnitFacts, findings: Findings) -> None:
    """A refused unit is offered to nobody until a second qualified person has looked."""
    for refusal in unit.refusals:
        if not refusal.looked_at:
            facts = (("refusal", refusal.number),)
            findings.bar(Code.REFUSAL_NOT_LOOKED_AT, unit.ref, EndsWhen.SECOND_LOOK, facts, since=refusal.at)


def judge_others(unit: UnitFacts, findings: Findings) -> None:
    """A unit of others bars until inspection date, plate and owner are recorded; a cooling unit has only an owner."""
    others = unit.others
    if others is None:
        return
    if not others.owner:
        findings.bar(Code.OTHERS_OWNER_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)
    if unit.kind is UnitKind.COOLING_UNIT:
        return
    if others.inspected_on is None:
        findings.bar(Code.OTHERS_INSPECTION_DATE_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)
    if not others.plate:
        findings.bar(Code.OTHERS_PLATE_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)


def _bar_by_hold(hold: HoldFact, unit: str, asking: Asking, findings: Findings) -> None:
    code, ends_when = Code.CARRIER_HOLD, EndsWhen.HOLD_LIFTED_BY_SECOND_PERSON
    if hold.by is HoldBy.OFFICER:
        code, ends_when = Code.OFFICERS_ORDER, EndsWhen.ORDER_FULFILLED
    elif asking.policy.small_carrier:
        ends_when = EndsWhen.HOLD_LIFTED
    facts = (("hold", hold.number), *((("reason", hold.reason),) if hold.reason else ()))
    findings.bar(code, unit, ends_when, facts, since=hold.since, expected_at=hold.expected_at)
