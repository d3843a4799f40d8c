"""What the catalogue makes of the lines of an officer's report. Writes nothing."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from common.errors import FieldProblem, Invalid
from defects.enums import CheckAnswer
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.walkarounds.body import CheckBody
from defects.rules.walkarounds.judge import judge_check
from defects.rules.walkarounds.verdicts import Circumstances, Flag, FlagCode, Verdict, qualified
from defects.selectors.catalogue.catalogue import facts_of_units
from defects.services.roadside.report import Violation

MISPLACED: Mapping[FlagCode, str] = {
    FlagCode.POINT_UNKNOWN: "point",
    FlagCode.POINT_RETIRED: "point",
    FlagCode.POINT_NOT_FOR_UNIT_KIND: "point",
    FlagCode.PLACE_MISSING: "place",
    FlagCode.PLACE_UNKNOWN: "place",
    FlagCode.FINDING_UNKNOWN: "finding",
    FlagCode.VALUE_NOT_ASKED: "value",
    FlagCode.VALUE_IMPLAUSIBLE: "value",
    FlagCode.UNIT_MISSING: "unit_of_measure",
    FlagCode.UNIT_WRONG: "unit_of_measure",
}
"""What a desk is refused for, and at which field; any other doubt of the rules leaves what the officer said."""


def judge_lines(lines: Iterable[Violation], catalogue: Catalogue, day: date, *, at: datetime) -> list[Verdict | None]:
    """Each line with a point as the catalogue judges it on its unit; None for one in the officer's words alone.

    Invalid `violation_refused` with every point, place, condition or value that the unit has not. One statement.
    """
    given = list(lines)
    facts = facts_of_units({line.unit.pk for line in given if line.point}, at=at)
    verdicts: list[Verdict | None] = []
    problems: list[FieldProblem] = []
    for index, line in enumerate(given):
        verdict = _judge(line, facts[line.unit.pk], catalogue, day) if line.point else None
        verdicts.append(verdict)
        flags = () if verdict is None else verdict.flags
        problems += [_problem(index, flag) for flag in flags if flag.code in MISPLACED]
        if not line.point and not line.text.strip():
            problems.append(FieldProblem(f"/violations/{index}/text", "required"))
    if problems:
        raise Invalid("violation_refused", problems=problems)
    return verdicts


def _judge(line: Violation, unit: UnitFacts, catalogue: Catalogue, day: date) -> Verdict:
    check = CheckBody.model_construct(
        point=line.point,
        answer=CheckAnswer.DEFECT,
        place=line.place,
        value="" if line.value is None else str(line.value),
        unit_of_measure=line.unit_of_measure,
        finding=line.finding,
    )
    return judge_check(check, unit, Circumstances((catalogue,), Conditions(), day, qualified))


def _problem(index: int, flag: Flag) -> FieldProblem:
    return FieldProblem(f"/violations/{index}/{MISPLACED[flag.code]}", f"flag_{flag.code}", dict(flag.facts))
