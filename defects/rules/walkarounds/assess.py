"""Judging a whole report: every check in turn, and what follows from it for the unit. Pure; nothing is looked up."""

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from common.api.signed_bodies import CUT
from defects.enums import CheckAnswer, Listing, Outcome
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import NamedFault, describe
from defects.rules.walkarounds.body import FaultBody, ReportBody
from defects.rules.walkarounds.judge import judge_check
from defects.rules.walkarounds.verdicts import Circumstances, Fault, Flag, FlagCode, Verdict

_NOTHING_WRONG = frozenset({CheckAnswer.FINE, CheckAnswer.NOT_APPLICABLE})


@dataclass(frozen=True)
class Assessment:
    """One report judged, check by check in the order of the report.

    `faults` are those that only a foreman can grade: told in free text, or reported at a point or place that the unit
    has not.
    """

    judged: tuple[Verdict, ...]
    faults: tuple[FaultBody, ...]

    @cached_property
    def findings(self) -> tuple[Verdict, ...]:
        """The checks that become defects or sightings."""
        return tuple(verdict for verdict in self.judged if verdict.is_finding)

    @property
    def reported(self) -> tuple[NamedFault, ...]:
        """Everything that was reported as wrong, whatever the rules could make of it."""
        checks = (verdict.check for verdict in self.judged if verdict.is_reported)
        named = [NamedFault(check.point, check.place, check.note, check.finding) for check in checks]
        return (*named, *(NamedFault("", fault.place, fault.text) for fault in self.faults))

    @property
    def review_due(self) -> bool:
        """Whether 396.13 asks the next driver to review this report: a listed defect or free-text fault is on it."""
        return bool(self.faults) or any(verdict.listing is not Listing.NOTED for verdict in self.findings)

    @property
    def flags(self) -> tuple[tuple[int, Flag], ...]:
        """Everything a foreman must look at, with the index of its check."""
        return tuple((index, flag) for index, verdict in enumerate(self.judged) for flag in verdict.flags)


def assess_report(report: ReportBody, unit: UnitFacts, under: Circumstances) -> Assessment:
    """Judge every check of a report as of a day. Raises nothing: a signed report is never lost to a rule."""
    each = [judge_check(check, unit, under) for check in report.checks]
    judged = tuple(_each_value_once(_without_contradicted(each)))
    # Reported where the rules cannot place it: flagged, and yet never to be taken for nothing.
    unplaced = [_as_fault(it) for it in judged if it.outcome is Outcome.FLAGGED and it.is_reported]
    return Assessment(judged, (*report.faults, *unplaced))


def unassessed(report: ReportBody) -> Assessment:
    """A report on a unit nobody knows: nothing on it is fine, which is flagged once, for the whole report."""
    rule = f"judge#{FlagCode.UNIT_UNKNOWN}"
    return Assessment(tuple(Verdict(Outcome.FLAGGED, rule, check) for check in report.checks), tuple(report.faults))


def without_unmeasured(assessment: Assessment, to_measure: AbstractSet[Fault]) -> Assessment:
    """The same with corrections of these faults flagged where no value after the work came with them.

    What was measured and found past its limit is ended by a value within it, whoever signs.
    """
    if not to_measure:
        return assessment
    rule, flags = f"judge#{FlagCode.VALUE_MISSING}", (Flag(FlagCode.VALUE_MISSING),)
    judged = (
        Verdict(Outcome.FLAGGED, rule, verdict.check, verdict.point, flags=flags)
        if verdict.is_correction and verdict.accepted_value is None and verdict.fault in to_measure
        else verdict
        for verdict in assessment.judged
    )
    return Assessment(tuple(judged), assessment.faults)


def _without_contradicted(judged: list[Verdict]) -> Iterable[Verdict]:
    """The same with an answer flagged that finds nothing wrong where another one reports a defect."""
    faults = {verdict.fault for verdict in judged if verdict.check.answer == CheckAnswer.DEFECT}
    return (_contradicted(verdict, faults) for verdict in judged) if faults else judged


def _contradicted(verdict: Verdict, faults: AbstractSet[Fault]) -> Verdict:
    if verdict.check.answer not in _NOTHING_WRONG or verdict.fault not in faults or verdict.is_finding:
        return verdict
    return replace(verdict, outcome=Outcome.FLAGGED, flags=(*verdict.flags, Flag(FlagCode.ANSWERED_TWICE)))


def _each_value_once(judged: Iterable[Verdict]) -> Iterator[Verdict]:
    """The same with one value for a point and place: the first enters the series, a different one is flagged."""
    values: dict[Fault, Decimal] = {}
    for verdict in judged:
        value = verdict.accepted_value
        if value is None:
            yield verdict
        elif verdict.fault not in values:
            values[verdict.fault] = value
            yield verdict
        elif value == values[verdict.fault]:
            yield replace(verdict, accepted_value=None)
        else:
            outcome = Outcome.FINDING if verdict.is_finding else Outcome.FLAGGED
            flags = (*verdict.flags, Flag(FlagCode.MEASURED_TWICE))
            yield replace(verdict, outcome=outcome, accepted_value=None, flags=flags)


def _as_fault(verdict: Verdict) -> FaultBody:
    """In the finder's words, as far as the catalogue cannot say it: what was looked at, where, what was found."""
    check, point = verdict.check, verdict.point
    finding = None if point is None else point.finding(check.finding)
    thing = check.point if point is None else point.text[Language.ENGLISH].thing
    where = describe(check.place) if check.place else ""
    value = " ".join(filter(None, (check.value, check.unit_of_measure)))
    named = check.finding if finding is None else finding.text[Language.ENGLISH]
    said = (check.unknown_answer, named, value, check.note)
    text = ": ".join(filter(None, (", ".join(filter(None, (thing, where))), ". ".join(filter(None, said)))))
    return FaultBody.model_construct(
        text=text or CUT, photos=check.photos, heard_from=check.heard_from, heard_at=check.heard_at
    )
