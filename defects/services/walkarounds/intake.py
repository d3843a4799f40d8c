"""One attempt at taking in a walk-around: lock, judge, store, announce, tell, write history, in that order."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.clock import day_in_zone
from defects.models import Measurement, Report, SentBody, Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import Submission, WalkaroundBody, one_for_each_unit
from defects.rules.walkarounds.judge import Circumstances
from defects.rules.walkarounds.timing import Timing
from defects.selectors.catalogue import catalogue_in_force, is_kept, keep_catalogue
from defects.selectors.facts import DETAILS, observer_of
from defects.selectors.receipts import Receipt
from defects.services.telling import tell_of_unknown_units
from defects.services.walkarounds.findings import Finder
from defects.services.walkarounds.judging import Given, judge_given
from defects.services.walkarounds.others import add_others, complete_others
from defects.services.walkarounds.particulars import particulars_of
from defects.services.walkarounds.results import bring_about
from defects.services.walkarounds.rows import Header, Queried, build_walkaround, measurements_of
from defects.services.walkarounds.scene import Scene, lock_scene
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.rules.units.combinations import is_combination
from fleet.rules.units.references import without_our_name
from fleet.selectors.carrier.policies import standing_policies
from fleet.selectors.units.lookup import resolve_units
from fleet.services.units.couplings import take_over


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
    body = submission.body
    standing = standing_policies(now=now)
    catalogue = catalogue_in_force(standing.policies)
    on = day_in_zone(timing.performed_at, standing.zone)
    met, others = add_others(body.units_of_others, carrier=standing.carrier, since=on, actor=actor, now=now)
    units, kept = _units(body, catalogue, standing.carrier)
    scene = lock_scene(units, [item.unit for item in met], timing.performed_at, actor=actor, now=now)
    others += complete_others(met, scene.work)
    coupling = _couple(intake, scene)
    if not kept:
        keep_catalogue(catalogue, now=now)
    particulars = particulars_of(submission, timing, catalogue)
    walkaround = build_walkaround(
        Header(
            id=intake.id,
            submission=submission,
            timing=timing,
            actor=actor,
            team_mate=particulars.team_mate,
            site=particulars.site,
            coupling=coupling,
            catalogue=particulars.catalogues[-1].content_hash,
            queried=[*particulars.queried, *others, *_not_together(intake, scene)],
            now=now,
        )
    )
    under = Circumstances(
        catalogues=tuple(particulars.catalogues),
        conditions=body.surroundings,
        on=on,
        observer_of=observer_of(actor.current_roles, actor.scopes_on(on)),
        time_known=timing.known,
    )
    judging = judge_given(walkaround, _given(body, scene), scene, under, particulars.named)
    assessed, known = judging.assessed, judging.known
    _store(walkaround, assessed, submission.as_sent)
    finder = Finder(actor, timing.performed_at, catalogue, now, entered_by=actor)
    results = bring_about(walkaround, assessed, known, scene, finder)
    unknown = tell_of_unknown_units(
        assessed, catalogue=catalogue, site=particulars.site, reporter=actor, now=now, caused_by=walkaround.pk
    )
    scene.work.write()
    return Receipt(
        walkaround,
        [report for report, _ in assessed],
        results.sightings,
        results.holds,
        results.certificates,
        [*results.told, *unknown],
        catalogue,
    )


def _units(body: WalkaroundBody, catalogue: Catalogue, carrier: str) -> tuple[dict[str, Unit], bool]:
    """The units by the reference given, and whether the catalogue is known to be stored already.

    One named with the carrier as its owner is our own of that number.
    """
    refs = {report.unit: without_our_name(report.unit, carrier) for report in body.reports}
    found = resolve_units(refs.values(), among=Unit.objects.select_related(*DETAILS).annotate(kept=is_kept(catalogue)))
    known = any(getattr(unit, "kept", False) for unit in found.values())
    return {given: found[ref] for given, ref in refs.items() if ref in found}, known


def _couple(intake: Intake, scene: Scene) -> UUID | None:
    """The combination that the driver had, which takes over whatever was recorded before; None when not coupled.

    While it is not known when that was, it takes over nothing.
    """
    road_units = [unit for unit in scene.units.values() if unit.kind != UnitKind.COOLING_UNIT]
    if not intake.submission.body.coupled or not road_units:
        return None
    stands = scene.companions.together(frozenset(unit.pk for unit in road_units))
    if stands is not None or not intake.timing.known:
        return stands
    coupling = take_over(
        work=scene.work,
        units=road_units,
        performed_at=intake.timing.performed_at,
    )
    return None if coupling is None else coupling.pk


def _not_together(intake: Intake, scene: Scene) -> list[Queried]:
    """What is queried where the driver had units coupled that cannot run together; nothing while one is not known."""
    body = intake.submission.body
    if not body.coupled or any(report.unit not in scene.units for report in body.reports):
        return []
    kinds = {unit.pk: unit.kind for unit in scene.units.values() if unit.kind != UnitKind.COOLING_UNIT}
    impossible = len(kinds) > 1 and not is_combination(kinds.values())
    return [{"code": "not_a_combination", "facts": {}}] if impossible else []


def _given(body: WalkaroundBody, scene: Scene) -> list[Given]:
    joined = one_for_each_unit(body.reports, {ref: unit.pk for ref, unit in scene.units.items()})
    return [Given(n, report, scene.units.get(report.unit), doubled) for n, (report, doubled) in enumerate(joined)]


def _store(walkaround: Walkaround, assessed: list[tuple[Report, Assessment]], as_sent: str) -> None:
    walkaround.signature.save(force_insert=True)
    walkaround.save(force_insert=True)
    if as_sent:
        SentBody.objects.create(id=walkaround.pk, text=as_sent, received_at=walkaround.received_at)
    Report.objects.bulk_create([report for report, _ in assessed])
    measured = measurements_of(assessed)
    if measured:
        Measurement.objects.bulk_create(measured)
