"""One attempt at taking in a walk-around: lock, judge, store, announce, tell, write history, in that order."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.clock import day_in_zone
from defects.models import Measurement, Report, Walkaround
from defects.rules.assess import Assessment, Circumstances, assess_report, unassessed
from defects.rules.catalogue import Catalogue
from defects.rules.submission import GivenReport, Submission
from defects.rules.timing import Timing
from defects.rules.verdicts import Query
from defects.rules.vocabulary import QueryCode
from defects.selectors.catalogue import catalogue_in_force, is_kept, keep_catalogue, stored_catalogue
from defects.selectors.facts import DETAILS, facts_of_units, observer_of
from defects.selectors.receipts import Receipt
from defects.services.loads_at_risk import open_loads_at_risk
from defects.services.telling import tell_of_holds
from defects.services.walkarounds.corrections import certify_corrections, corrections_of
from defects.services.walkarounds.findings import Finder, store_findings
from defects.services.walkarounds.meters import ShownReading, store_meters
from defects.services.walkarounds.records import record_walkaround
from defects.services.walkarounds.rows import Header, Queried, build_report, build_walkaround, measurements_of
from defects.services.walkarounds.scene import Scene, defects_of, lock_scene
from defects.signals import defects_certified, defects_reported
from fleet.enums import UnitKind
from fleet.models import Person, Site, Unit
from fleet.selectors import resolve_units
from fleet.selectors.policies import Standing, standing_policies
from fleet.services.take_over import take_over
from fleet.services.units_of_others import add_unit_of_others


@dataclass(frozen=True)
class Intake:
    """What one attempt works on."""

    id: UUID
    submission: Submission
    timing: Timing
    actor: Person
    now: datetime


def take_in(intake: Intake) -> Receipt:
    """Store everything the walk-around brings and answer with its receipt; the caller owns the transaction."""
    submission, timing, actor, now = intake.submission, intake.timing, intake.actor, intake.now
    standing = standing_policies(now=now)
    catalogue = catalogue_in_force(standing.policies)
    units = _units(submission, catalogue, actor, now)
    scene = lock_scene({ref: unit for ref, (unit, _) in units.items()}, timing.performed_at)
    coupling = _couple(intake, scene)
    if not any(kept for _, kept in units.values()):
        keep_catalogue(catalogue, now=now)
    older, unknown_catalogue = _older(submission, catalogue)
    site, unknown_site = _site(submission)
    team_mate, unknown_mate = _team_mate(submission)
    walkaround = build_walkaround(
        Header(
            id=intake.id,
            submission=submission,
            timing=timing,
            actor=actor,
            team_mate=team_mate,
            site=site,
            coupling=coupling,
            catalogue=(older or [catalogue])[0].content_hash,
            queried=[*_timing_queries(timing), *unknown_catalogue, *unknown_site, *unknown_mate],
            now=now,
        )
    )
    meter_queries = store_meters(walkaround, _shown(submission, scene))
    assessed = _reports(walkaround, _assess(intake, scene, (catalogue, *older), standing), meter_queries)
    _store(walkaround, assessed)
    finder = Finder(actor, timing.performed_at, catalogue, now)
    known = defects_of(scene.units.values(), assessed, timing.performed_at)
    found = store_findings(assessed, known, finder)
    corrections = corrections_of(assessed, known)
    certificates = certify_corrections(corrections, submission, finder)
    record_walkaround(scene.ledger, walkaround, assessed, found, corrections)
    if found.to_repair:
        defects_reported.send(Walkaround, defects=found.to_repair, ledger=scene.ledger, actor=actor, now=now)
    if certificates:
        defects_certified.send(Walkaround, certificates=certificates, ledger=scene.ledger, actor=actor, now=now)
    told = tell_of_holds(found.holds, units=scene.units.values(), catalogue=catalogue, site=site, now=now)
    at_risk = open_loads_at_risk(
        found.seen,
        fresh={defect.pk for defect in (*found.new, *found.raised)},
        mounted=scene.companions.mounted,
        ledger=scene.ledger,
        catalogue=catalogue,
        actor=actor,
        now=now,
    )
    scene.ledger.write(now=now)
    return Receipt(
        walkaround,
        [report for report, _ in assessed],
        found.sightings,
        [*found.holds, *found.standing],
        certificates,
        [*told, *at_risk.told],
        catalogue,
    )


def _units(submission: Submission, catalogue: Catalogue, actor: Person, now: datetime) -> dict[str, tuple[Unit, bool]]:
    """The units by the reference given, each with whether the catalogue is stored already.

    Those of others are added first, in the order of owner and number.
    """
    for given in sorted(submission.units_of_others, key=lambda unit: (unit.owner, unit.number)):
        add_unit_of_others(
            kind=UnitKind(given.kind),
            number=given.number,
            owner=given.owner,
            actor=actor,
            now=now,
            in_control_since=submission.finished_at.date(),
            facts={name: value for name in ("vin", "plate", "plate_state") if (value := getattr(given, name))},
        )
    refs = [report.unit for report in submission.reports]
    found = resolve_units(refs, among=Unit.objects.select_related(*DETAILS).annotate(kept=is_kept(catalogue)))
    return {ref: (unit, getattr(unit, "kept", False)) for ref, unit in found.items()}


def _couple(intake: Intake, scene: Scene) -> UUID | None:
    """The combination that the driver had, which takes over whatever was recorded before; None when not coupled."""
    road_units = [unit for unit in scene.units.values() if unit.kind != UnitKind.COOLING_UNIT]
    if not intake.submission.coupled or not road_units:
        return None
    stands = scene.companions.together(frozenset(unit.pk for unit in road_units))
    if stands is not None:
        return stands
    coupling = take_over(
        ledger=scene.ledger,
        units=road_units,
        performed_at=intake.timing.performed_at,
        actor=intake.actor,
        now=intake.now,
    )
    return None if coupling is None else coupling.pk


def _timing_queries(timing: Timing) -> list[Queried]:
    return [{"code": code, "facts": {}} for code in timing.queries]


def _older(submission: Submission, catalogue: Catalogue) -> tuple[list[Catalogue], list[Queried]]:
    """The catalogue that the phone carried where it is an older one, or what is queried about it."""
    if submission.catalogue in {"", catalogue.content_hash}:
        return [], []
    older = stored_catalogue(submission.catalogue)
    if older is None:
        return [], [{"code": "catalogue_unknown", "facts": {"catalogue": submission.catalogue}}]
    return [older], []


def _assess(
    intake: Intake, scene: Scene, catalogues: tuple[Catalogue, ...], standing: Standing
) -> list[tuple[GivenReport, Unit | None, Assessment]]:
    submission, on = intake.submission, day_in_zone(intake.timing.performed_at, standing.zone)
    facts = facts_of_units(scene.units.values())
    observe = observer_of(intake.actor.current_roles, intake.actor.scopes_on(on))
    under = Circumstances(catalogues, submission.conditions, on, observe)
    assessed = []
    for report in submission.reports:
        unit = scene.units.get(report.unit)
        if unit is None:
            assessment = unassessed(report, Query(QueryCode.UNIT_UNKNOWN, {"unit": report.unit}))
        else:
            assessment = assess_report(report, facts[unit.pk], under)
        assessed.append((report, unit, assessment))
    return assessed


def _site(submission: Submission) -> tuple[Site | None, list[Queried]]:
    if not submission.site:
        return None, []
    site = Site.objects.filter(code__iexact=submission.site).first()
    return site, [] if site is not None else [{"code": "site_unknown", "facts": {"site": submission.site}}]


def _team_mate(submission: Submission) -> tuple[Person | None, list[Queried]]:
    """The other driver of a team who agrees to the report (396.11(a)(2)(ii)), by name at sign-in."""
    if not submission.team_mate:
        return None, []
    person = Person.objects.filter(username__iexact=submission.team_mate, left_on__isnull=True).first()
    query: list[Queried] = [{"code": "team_mate_unknown", "facts": {"team_mate": submission.team_mate}}]
    return person, [] if person is not None else query


def _shown(submission: Submission, scene: Scene) -> list[ShownReading]:
    return [
        ShownReading(position, index, unit, meter.meter, meter.shown)
        for position, report in enumerate(submission.reports)
        if (unit := scene.units.get(report.unit)) is not None
        for index, meter in enumerate(report.meters)
    ]


def _reports(
    walkaround: Walkaround,
    assessed: list[tuple[GivenReport, Unit | None, Assessment]],
    meter_queries: Mapping[int, list[Queried]],
) -> list[tuple[Report, Assessment]]:
    reports = []
    for position, (given, unit, assessment) in enumerate(assessed):
        queried: list[Queried] = [
            {"code": str(query.code), "facts": dict(query.facts), "check": index} for index, query in assessment.queries
        ]
        if unit is None:
            queried.insert(0, {"code": "unit_unknown", "facts": {"unit": given.unit}})
        queried += meter_queries.get(position, [])
        report = build_report(walkaround, position, given, assessment, unit=unit, queried=queried)
        reports.append((report, assessment))
    return reports


def _store(walkaround: Walkaround, assessed: list[tuple[Report, Assessment]]) -> None:
    walkaround.signature.save(force_insert=True)
    walkaround.save(force_insert=True)
    Report.objects.bulk_create([report for report, _ in assessed])
    measured = measurements_of(assessed)
    if measured:
        Measurement.objects.bulk_create(measured)
