"""What follows from the reports of a walk-around once they are judged and stored: on every unit that is known."""

from collections.abc import Sequence
from dataclasses import dataclass

from defects.models import Certificate, Hold, Report, Sighting, Walkaround
from defects.rules.walkarounds.assess import Assessment
from defects.services.loads_at_risk import open_loads_at_risk
from defects.services.telling import tell_of_bars
from defects.services.walkarounds.corrections import certify_corrections, corrections_of
from defects.services.walkarounds.findings import Finder, store_findings
from defects.services.walkarounds.records import record_corrections, record_reports
from defects.services.walkarounds.scene import KnownDefects, Scene
from defects.signals import defects_certified, defects_reported
from fleet.models import Notice


@dataclass(frozen=True)
class Results:
    """For the receipt. `holds` are those that stand on the findings, new or not."""

    sightings: Sequence[Sighting]
    holds: Sequence[Hold]
    certificates: Sequence[Certificate]
    told: Sequence[Notice]


def bring_about(
    walkaround: Walkaround,
    assessed: Sequence[tuple[Report, Assessment]],
    known: KnownDefects,
    scene: Scene,
    finder: Finder,
) -> Results:
    """Store what was found and put right, note it in the history, announce it and tell of it.

    The caller has stored the reports, and ends the unit of work of the scene.
    """
    work, now = scene.work, finder.now
    record_reports(work, walkaround, assessed)
    found = store_findings(work, assessed, known, finder)
    corrections = corrections_of(assessed, known)
    certificates = certify_corrections(work, corrections, walkaround.signature, finder)
    record_corrections(work, walkaround, corrections)
    if found.to_repair:
        defects_reported.send(Walkaround, defects=found.to_repair, work=work, seen_at=finder.performed_at)
    if certificates:
        defects_certified.send(Walkaround, certificates=certificates, work=work)
    told = tell_of_bars(
        found.holds,
        [*found.new, *found.raised],
        units=scene.units.values(),
        catalogue=finder.catalogue,
        site=walkaround.site,
        now=now,
        caused_by=walkaround.pk,
    )
    at_risk = open_loads_at_risk(
        found.seen,
        fresh={defect.pk for defect in (*found.new, *found.raised)},
        mounted=scene.companions.mounted,
        work=work,
        catalogue=finder.catalogue,
        caused_by=walkaround.pk,
    )
    return Results(found.sightings, [*found.holds, *found.standing], certificates, [*told, *at_risk.told])
