"""The reports of a walk-around judged against their units: the unsaved rows, and what their findings may touch."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from defects.models import Report, Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.facts import UnitFacts
from defects.rules.walkarounds.assess import Assessment, assess_report, unassessed, without_unmeasured
from defects.rules.walkarounds.body import ReportBody
from defects.rules.walkarounds.judge import Circumstances
from defects.selectors.facts import facts_of_units
from defects.services.walkarounds.corrections import to_measure
from defects.services.walkarounds.looking import Looking, walked
from defects.services.walkarounds.meters import ShownReading, store_meters
from defects.services.walkarounds.rows import Queried, build_report
from defects.services.walkarounds.scene import KnownDefects, Scene, defects_of
from fleet.models import Unit


@dataclass(frozen=True)
class Given:
    """All that was given on one unit, which is None while nobody knows it. `doubled`: it was named more than once."""

    position: int
    report: ReportBody
    unit: Unit | None
    doubled: bool = False


_Assessed = tuple[Given, Assessment]


@dataclass(frozen=True)
class Judging:
    """The unsaved reports, each with how it was judged, and the defects that they may touch."""

    assessed: list[tuple[Report, Assessment]]
    known: KnownDefects


def judge_given(
    walkaround: Walkaround, given: Sequence[Given], scene: Scene, under: Circumstances, named: Catalogue | None
) -> Judging:
    """Judge what was given on the units of the scene, and store their meters. `named` is the phone's catalogue."""
    units = scene.units.values()
    meter_queries = store_meters(walkaround, _shown(given), time_known=under.time_known)
    facts = facts_of_units(units)
    judged = _assess(given, facts, under)
    known = defects_of(units, [assessment for _, assessment in judged], walkaround.performed_at)
    looking = Looking(walked(walkaround, under, named, units), facts, known)
    measured = _measured_again(judged, known, under.catalogues[0])
    return Judging(_reports(walkaround, measured, looking, meter_queries), known)


def _assess(given: Sequence[Given], facts: Mapping[UUID, UnitFacts], under: Circumstances) -> list[_Assessed]:
    return [
        (item, unassessed(item.report) if item.unit is None else assess_report(item.report, facts[item.unit.pk], under))
        for item in given
    ]


def _measured_again(judged: list[_Assessed], known: KnownDefects, catalogue: Catalogue) -> list[_Assessed]:
    """The same, with what a correction of a measured defect lacks queried: its certificate needs the value after."""
    return [
        (
            item,
            assessment
            if item.unit is None
            else without_unmeasured(assessment, to_measure(known, item.unit, catalogue)),
        )
        for item, assessment in judged
    ]


def _shown(given: Sequence[Given]) -> list[ShownReading]:
    return [
        ShownReading(item.position, index, item.unit, meter.meter, meter.shown)
        for item in given
        for index, meter in enumerate(item.report.meters)
    ]


def _reports(
    walkaround: Walkaround,
    assessed: list[_Assessed],
    looking: Looking,
    meter_queries: Mapping[int, list[Queried]],
) -> list[tuple[Report, Assessment]]:
    reports = []
    for given, assessment in assessed:
        queried: list[Queried] = []
        if given.unit is None:
            queried.append({"code": "unit_unknown", "facts": {"unit": given.report.unit}})
        if given.doubled:
            queried.append({"code": "unit_named_twice", "facts": {"unit": given.report.unit}})
        queried += [
            {"code": str(query.code), "facts": dict(query.facts), "check": index} for index, query in assessment.queries
        ]
        looks = looking.over(given.report, given.unit, assessment)
        queried += [{"code": str(query.code), "facts": dict(query.facts)} for query in looks.queries]
        queried += meter_queries.get(given.position, [])
        report = build_report(
            walkaround, given.position, given.report, assessment, looks, unit=given.unit, queried=queried
        )
        reports.append((report, assessment))
    return reports
