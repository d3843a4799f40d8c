"""Judging a whole report: every check in turn, and what follows from it for the unit. Pure; nothing is looked up."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from common.api.signed_bodies import CUT
from defects.enums import Authority, CheckAnswer, Listing, Outcome
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import NamedFault, describe
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.body import CheckBody, FaultBody, ReportBody
from defects.rules.walkarounds.judge import judge_check
from defects.rules.walkarounds.verdicts import Circumstances, Flag, FlagCode, Verdict

_VALUE_UNUSABLE = frozenset(
    {
        FlagCode.VALUE_NOT_ASKED,
        FlagCode.VALUE_UNREADABLE,
        FlagCode.VALUE_IMPLAUSIBLE,
        FlagCode.UNIT_MISSING,
        FlagCode.UNIT_WRONG,
    }
)

_NOTHING_WRONG = frozenset({CheckAnswer.FINE, CheckAnswer.NOT_APPLICABLE})

Fault = tuple[str, str]
"""Point and place on one unit: what makes two findings the same fault."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One check of a report with its verdict. `point` is None where the catalogue has none of that name."""

    index: int
    check: CheckBody
    point: Point | None
    verdict: Verdict

    @property
    def fault(self) -> Fault:
        return self.check.point, self.check.place

    @property
    def authority(self) -> Authority:
        """Statutory or carrier; what the catalogue does not know is taken for statutory."""
        return Authority.STATUTORY if self.point is None else self.point.authority

    @property
    def listing(self) -> Listing:
        """Why the finding is on the certified list, which a driver may put anything on; or that it is only noted."""
        return Listing.DRIVER if self.check.listed and self.verdict.listing is Listing.NOTED else self.verdict.listing

    @property
    def is_listed(self) -> bool:
        """Whether the finding is on the certified list."""
        return self.listing is not Listing.NOTED

    @property
    def is_finding(self) -> bool:
        """Whether it becomes a defect or a sighting."""
        return self.verdict.outcome is Outcome.FINDING

    @property
    def is_correction(self) -> bool:
        """Whether something was put right on the spot, with its proof."""
        return self.verdict.outcome is Outcome.CORRECTED

    @property
    def is_reported(self) -> bool:
        """Whether something was reported as wrong, whatever the rules could make of it."""
        return self.check.says_fault or self.verdict.severity is not None

    @property
    def ends_fault(self) -> bool:
        """Whether it ends an open fault: it was put right, or is the driver's to end and was answered fine since."""
        answered_fine = self.verdict.outcome is Outcome.FINE and self.point is not None and self.point.ends_by_driver
        return self.is_correction or answered_fine

    @property
    def measured(self) -> Decimal | None:
        """The value that may enter a series, or None."""
        return self.verdict.accepted_value

    @property
    def value(self) -> Decimal | None:
        """The value that may stand on the defect: one that could be compared, whether or not it enters a series."""
        unusable = any(flag.code in _VALUE_UNUSABLE for flag in self.verdict.flags)
        return self.check.number if self.is_finding and not unusable else None

    @property
    def words(self) -> str:
        """The driver's own words, with the name of a finding that the point has not."""
        named = self.point is None or self.point.finding(self.check.finding) is not None
        return ". ".join(filter(None, ("" if named else self.check.finding, self.check.note)))

    @property
    def unit_of_measure(self) -> str:
        """The unit of measure of `value`; empty without one."""
        return "" if self.value is None else self.check.unit_of_measure


@dataclass(frozen=True, slots=True)
class Assessment:
    """One report judged.

    `faults` are those that only a foreman can grade: told in free text, or reported at a point or place that the unit
    has not.
    """

    judged: tuple[Judged, ...]
    faults: tuple[FaultBody, ...]

    @property
    def findings(self) -> tuple[Judged, ...]:
        """The checks that become defects or sightings."""
        return tuple(judged for judged in self.judged if judged.is_finding)

    @property
    def corrections(self) -> tuple[Judged, ...]:
        """The checks put right on the spot."""
        return tuple(judged for judged in self.judged if judged.is_correction)

    @property
    def endings(self) -> tuple[Judged, ...]:
        """The checks that end an open fault: put right on the spot, or the driver's to end and answered fine."""
        return tuple(judged for judged in self.judged if judged.ends_fault)

    @property
    def reported(self) -> tuple[NamedFault, ...]:
        """Everything that was reported as wrong, whatever the rules could make of it."""
        checks = (judged.check for judged in self.judged if judged.is_reported)
        named = [NamedFault(check.point, check.place, check.note, check.finding) for check in checks]
        return (*named, *(NamedFault("", fault.place, fault.text) for fault in self.faults))

    @property
    def review_due(self) -> bool:
        """Whether 396.13 asks the next driver to review this report: a listed defect or free-text fault is on it."""
        return bool(self.faults) or any(judged.is_listed for judged in self.findings)

    @property
    def flags(self) -> tuple[tuple[int, Flag], ...]:
        """Everything a foreman must look at, with the index of its check."""
        return tuple((judged.index, flag) for judged in self.judged for flag in judged.verdict.flags)


def assess_report(report: ReportBody, unit: UnitFacts, under: Circumstances) -> Assessment:
    """Judge every check of a report as of a day. Raises nothing: a signed report is never lost to a rule."""
    judged = _each_value_once(
        _without_contradicted(
            Judged(index, check, under.point(check.point), judge_check(check, unit, under))
            for index, check in enumerate(report.checks)
        )
    )
    unplaced = tuple(_as_fault(item) for item in judged if _is_unplaced_report(item))
    return Assessment(judged=judged, faults=(*report.faults, *unplaced))


def unassessed(report: ReportBody) -> Assessment:
    """A report on a unit nobody knows: nothing on it is fine, which is flagged once, for the whole report."""
    verdict = Verdict(outcome=Outcome.FLAGGED, rule_id=f"judge#{FlagCode.UNIT_UNKNOWN}")
    judged = tuple(Judged(index, check, None, verdict) for index, check in enumerate(report.checks))
    return Assessment(judged=judged, faults=tuple(report.faults))


def without_unmeasured(assessment: Assessment, to_measure: frozenset[Fault]) -> Assessment:
    """The same with corrections of these faults flagged where no value after the work came with them.

    What was measured and found past its limit is ended by a value within it, whoever signs.
    """
    missing = Verdict(
        outcome=Outcome.FLAGGED, rule_id=f"judge#{FlagCode.VALUE_MISSING}", flags=(Flag(FlagCode.VALUE_MISSING),)
    )
    return replace(
        assessment,
        judged=tuple(
            replace(item, verdict=missing)
            if item.is_correction and item.measured is None and item.fault in to_measure
            else item
            for item in assessment.judged
        ),
    )


def _without_contradicted(answers: Iterable[Judged]) -> Iterator[Judged]:
    """The same with an answer flagged that finds nothing wrong where another one reports a defect."""
    judged = tuple(answers)
    faults = {item.fault for item in judged if item.check.answer == CheckAnswer.DEFECT}
    for item in judged:
        if item.check.answer in _NOTHING_WRONG and item.fault in faults and not item.is_finding:
            flags = (*item.verdict.flags, Flag(FlagCode.ANSWERED_TWICE))
            yield replace(item, verdict=replace(item.verdict, outcome=Outcome.FLAGGED, flags=flags))
        else:
            yield item


def _each_value_once(answers: Iterable[Judged]) -> tuple[Judged, ...]:
    """The same with one value for a point and place: the first enters the series, a different one is flagged."""
    first: dict[Fault, Decimal] = {}
    once = []
    for judged in answers:
        known, measured = first.get(judged.fault), judged.measured
        if measured is None:
            once.append(judged)
        elif known is None:
            first[judged.fault] = measured
            once.append(judged)
        else:
            once.append(replace(judged, verdict=_measured_again(judged, differs=known != measured)))
    return tuple(once)


def _measured_again(judged: Judged, *, differs: bool) -> Verdict:
    verdict = replace(judged.verdict, accepted_value=None)
    if not differs:
        return verdict
    outcome = Outcome.FINDING if judged.is_finding else Outcome.FLAGGED
    return replace(verdict, outcome=outcome, flags=(*verdict.flags, Flag(FlagCode.MEASURED_TWICE)))


def _is_unplaced_report(judged: Judged) -> bool:
    """Whether something was reported that the rules cannot place: flagged, and yet never to be taken for nothing."""
    return judged.verdict.outcome is Outcome.FLAGGED and judged.is_reported


def _as_fault(judged: Judged) -> FaultBody:
    """In the finder's words, as far as the catalogue cannot say it: what was looked at, where, what was found."""
    check, point = judged.check, judged.point
    finding = None if point is None else point.finding(check.finding)
    thing = check.point if point is None else point.text[Language.ENGLISH].thing
    where = describe(check.place) if check.place else ""
    value = " ".join(filter(None, (check.value, check.unit_of_measure)))
    named = check.finding if finding is None else finding.text[Language.ENGLISH]
    said = (check.unknown_answer, named, value, check.note)
    text = ": ".join(filter(None, (", ".join(filter(None, (thing, where))), ". ".join(filter(None, said)))))
    return FaultBody.model_construct(text=text or CUT, photos=check.photos)
