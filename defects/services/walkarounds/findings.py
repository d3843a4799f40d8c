"""Findings of one walk-around become defects, sightings and holds. Judging and merging were done by the rules."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from defects.enums import Listing, Severity, SightingHow
from defects.models import Defect, Hold, Report, Sighting
from defects.rules.defects.judgement import UNGRADED, Judgement, judgement_of, judgement_of_verdict, named_by, raised_to
from defects.rules.walkarounds.assess import Assessment, Judged
from defects.rules.walkarounds.merging import Merged, merge_findings
from defects.selectors.holds import standing_holds
from defects.services.defects.findings import Findings
from defects.services.holds.placing import holds_of_grave, place_holds
from defects.services.walkarounds.scene import KnownDefects, Scene


@dataclass(frozen=True)
class Found:
    """What a walk-around left behind: rows already stored, for the receipt, the order, the notices and the history."""

    new: Sequence[Defect]
    raised: Sequence[Defect]
    sightings: Sequence[Sighting]
    holds: Sequence[Hold]
    standing: Sequence[Hold]

    @property
    def seen(self) -> list[Defect]:
        """Every defect that the walk-around shows to stand, once."""
        return _shown(self.sightings)

    @property
    def to_repair(self) -> list[Defect]:
        """The defects that open a repair order or join one, unless a piece of work for them stands already.

        One that is only seen again is among them: its order may have been cancelled since, or its work called done
        and never certified.
        """
        return [defect for defect in self.seen if defect.severity != Severity.WATCH]


def store_findings(assessed: Iterable[tuple[Report, Assessment]], known: KnownDefects, scene: Scene) -> Found:
    """Store every finding: new defects, sightings of all, raised severities and the holds of `do_not_move`."""
    findings = Findings(scene.work, at=scene.performed_at, catalogue=scene.catalogue.content_hash)
    raised: list[Defect] = []
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        merged = merge_findings(
            assessment.findings,
            known.open.get(report.unit_id, {}),
            known.ended.get(report.unit_id, {}),
            scene.performed_at,
        )
        raised += _plan(findings, report, merged, known.by_key)
        for fault in assessment.faults:
            told = findings.open(UNGRADED, unit_id=unit_of(report), text=fault.words, report=report)
            findings.see(told, SightingHow.NEW, note=fault.words, report=report)
    findings.save()
    shown = {sighting.defect_id: sighting.defect for sighting in findings.sightings}
    new = {defect.pk for defect in findings.new}
    grave = [defect for key, defect in shown.items() if key not in new and defect.severity == Severity.DO_NOT_MOVE]
    standing = standing_holds(grave)
    holds = place_holds(
        scene.work, holds_of_grave(scene.work, _shown(findings.sightings), standing, at=scene.performed_at)
    )
    return Found(findings.new, raised, findings.sightings, holds, standing)


def unit_of(report: Report) -> UUID:
    """The unit of a report; ValueError while it is not known, for then nothing is stored on a unit."""
    if report.unit_id is None:
        msg = f"{report.given_unit} is no known unit"
        raise ValueError(msg)
    return report.unit_id


def _plan(findings: Findings, report: Report, merged: Iterable[Merged], stored: Mapping[UUID, Defect]) -> list[Defect]:
    """Plan what one report found; the defects that it found worse."""
    opened: dict[tuple[str, str], Defect] = {}
    raised: list[Defect] = []
    for item in merged:
        given, found = item.judged.given, _judgement(item.judged)
        if item.merge is SightingHow.NEW:
            defect = findings.open(
                found,
                unit_id=unit_of(report),
                point=given.point,
                place=given.place,
                text=given.note,
                report=report,
                comeback_of=item.comeback_of,
            )
        else:
            defect = opened[item.fault] if item.defect is None else stored[item.defect]
            if item.merge is SightingHow.RAISED:
                findings.raise_to(defect, _listed(raised_to(judgement_of(defect), found), item.judged))
                raised.append(defect)
            elif item.merge is not SightingHow.LATE:
                _keep_worst(findings, defect, item, found)
        opened[item.fault] = defect
        findings.see(defect, item.merge, found, note=given.note, report=report)
    return raised


def _keep_worst(findings: Findings, defect: Defect, item: Merged, found: Judgement) -> None:
    """A defect that was only noted may be listed by being found again; one measured further off is named by it."""
    known = judgement_of(defect)
    worse = _listed(known, item.judged)
    if worse == known and item.names:
        worse = named_by(known, found)
    if worse != known:
        findings.change(defect, worse)


def _listed(judgement: Judgement, judged: Judged) -> Judgement:
    if judgement.listing == Listing.NOTED and judged.is_listed:
        return replace(judgement, listing=str(judged.listing))
    return judgement


def _judgement(judged: Judged) -> Judgement:
    return judgement_of_verdict(
        judged.verdict,
        standing=judged.standing,
        listing=judged.listing,
        value=judged.value,
        unit_of_measure=judged.unit_of_measure,
    )


def _shown(sightings: Iterable[Sighting]) -> list[Defect]:
    """The defects that are shown to stand: a late sighting shows one that was repaired since."""
    shown = {sighting.defect_id: sighting.defect for sighting in sightings if sighting.how != SightingHow.LATE}
    return list(shown.values())
