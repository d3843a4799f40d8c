"""Findings of one walk-around become defects, sightings and holds. Judging and merging were done by the rules."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from defects.enums import Bars, DefectState, HoldKind, Listing, Severity, SightingHow, Standing
from defects.models import Defect, Hold, Report, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.severity import worst
from defects.rules.walkarounds.assess import Assessment, Judged
from defects.rules.walkarounds.body import FaultBody
from defects.rules.walkarounds.merging import Merged, merge_findings
from defects.selectors.words import what_of_defect
from defects.services.walkarounds.scene import KnownDefects
from fleet.models import Person


@dataclass
class Found:
    """What a walk-around left behind: rows already stored, for the receipt, the order, the notices and the history."""

    new: list[Defect] = field(default_factory=list)
    raised: list[Defect] = field(default_factory=list)
    listed: list[Defect] = field(default_factory=list)
    renamed: list[Defect] = field(default_factory=list)
    sightings: list[Sighting] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    standing: list[Hold] = field(default_factory=list)

    @property
    def seen(self) -> list[Defect]:
        """Every defect that the walk-around shows to stand, once."""
        shown = {s.defect_id: s.defect for s in self.sightings if s.how != SightingHow.LATE}
        return list(shown.values())

    @property
    def to_repair(self) -> list[Defect]:
        """The defects that open a repair order or join one, unless a piece of work for them stands already.

        One that is only seen again is among them: its order may have been cancelled since, or its work called done
        and never certified.
        """
        return [defect for defect in self.seen if defect.severity != Severity.WATCH]


@dataclass(frozen=True, slots=True)
class Finder:
    """Who found it, when, and by which catalogue it was judged.

    `entered_by` is who brought it onto the unit: the finder, or who said later which unit it is.
    """

    person: Person
    performed_at: datetime
    catalogue: Catalogue
    now: datetime
    entered_by: Person


def store_findings(assessed: Iterable[tuple[Report, Assessment]], known: KnownDefects, finder: Finder) -> Found:
    """Store every finding: new defects, sightings of all, raised severities and the holds of `do_not_move`."""
    found = Found()
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        merged = merge_findings(
            assessment.findings,
            known.open.get(report.unit_id, {}),
            known.ended.get(report.unit_id, {}),
            finder.performed_at,
        )
        _plan(found, report, merged, known.by_key, finder)
        for fault in assessment.faults:
            defect = _ungraded(report, fault, finder)
            found.new.append(defect)
            found.sightings.append(_first_sighting(defect))
    _save(found, finder)
    return found


def unit_of(report: Report) -> UUID:
    """The unit of a report; ValueError while it is not known, for then nothing is stored on a unit."""
    if report.unit_id is None:
        msg = f"{report.given_unit} is no known unit"
        raise ValueError(msg)
    return report.unit_id


def _plan(
    found: Found, report: Report, merged: Iterable[Merged], stored: Mapping[UUID, Defect], finder: Finder
) -> None:
    opened: dict[tuple[str, str], Defect] = {}
    for item in merged:
        if item.merge is SightingHow.NEW:
            defect = opened[item.fault] = _defect(report, item, finder)
            found.new.append(defect)
        else:
            defect = opened[item.fault] if item.defect is None else stored[item.defect]
            if item.merge is SightingHow.RAISED:
                _raise(defect, item.judged)
                found.raised.append(defect)
            if item.merge is not SightingHow.LATE and defect.listing == Listing.NOTED and item.judged.is_listed:
                defect.listing = str(item.judged.listing)
                defect.version += item.merge is not SightingHow.RAISED
                found.listed.append(defect)
            elif item.names:
                _name(defect, item.judged)
                found.renamed.append(defect)
        found.sightings.append(_sighting(defect, report, item, finder))


def _defect(report: Report, item: Merged, finder: Finder) -> Defect:
    judged, verdict = item.judged, item.judged.verdict
    return Defect(
        unit_id=unit_of(report),
        point=judged.given.point,
        place=judged.given.place,
        text=judged.given.note,
        finding=verdict.finding or "",
        standing=str(judged.standing),
        severity=str(judged.verdict.graded),
        bars=str(verdict.bars),
        listing=str(judged.listing),
        value=judged.value,
        unit_of_measure=judged.unit_of_measure,
        limit=verdict.limit_id or "",
        limit_value=verdict.limit_value,
        regulation_severity=str(verdict.regulation_severity or ""),
        rule=verdict.rule_id,
        source="" if verdict.source is None else str(verdict.source),
        counts_as_service_brake=verdict.counts_as_service_brake,
        on_steering_axle=verdict.on_steering_axle,
        catalogue_id=finder.catalogue.content_hash,
        report=report,
        found_by=finder.person,
        found_at=finder.performed_at,
        recorded_at=finder.now,
        comeback_of_id=item.comeback_of,
    )


def _ungraded(report: Report, fault: FaultBody, finder: Finder) -> Defect:
    """A fault in the driver's words: taken for statutory and barring until a foreman has graded it."""
    return Defect(
        unit_id=unit_of(report),
        place="",
        text=fault.words,
        standing=Standing.STATUTORY,
        severity=Severity.BEFORE_NEXT_USE,
        bars=Bars.MOVEMENT,
        listing=Listing.UNGRADED,
        graded=False,
        rule="free-text#ungraded",
        catalogue_id=finder.catalogue.content_hash,
        report=report,
        found_by=finder.person,
        found_at=finder.performed_at,
        recorded_at=finder.now,
    )


def _raise(defect: Defect, judged: Judged) -> None:
    """A worse finding raises an open defect; a certificate of `repair_unnecessary` no longer covers it."""
    verdict = judged.verdict
    defect.severity, defect.bars = str(judged.verdict.graded), str(verdict.bars)
    _name(defect, judged)
    floors = (defect.regulation_severity, verdict.regulation_severity)
    defect.regulation_severity = str(worst(floor for floor in floors if floor) or "")
    defect.counts_as_service_brake = defect.counts_as_service_brake or verdict.counts_as_service_brake
    defect.on_steering_axle = defect.on_steering_axle or verdict.on_steering_axle
    defect.current_certificate = None
    if defect.state == DefectState.DEFERRED:
        defect.state = DefectState.REPORTED


def _name(defect: Defect, judged: Judged) -> None:
    """What is worst of a fault names its defect: the finding, or the value with its limit, and the rule."""
    verdict = judged.verdict
    defect.finding = verdict.finding or ""
    defect.value, defect.unit_of_measure = judged.value, judged.unit_of_measure
    defect.limit, defect.limit_value = verdict.limit_id or "", verdict.limit_value
    defect.rule = verdict.rule_id
    defect.source = "" if verdict.source is None else str(verdict.source)
    defect.version += 1


_NAMING_FIELDS = ("finding", "value", "unit_of_measure", "limit", "limit_value", "rule", "source", "version")
_RAISED_FIELDS = (
    *_NAMING_FIELDS,
    "severity",
    "bars",
    "regulation_severity",
    "counts_as_service_brake",
    "on_steering_axle",
    "state",
    "current_certificate",
)


def _sighting(defect: Defect, report: Report, item: Merged, finder: Finder) -> Sighting:
    judged, verdict = item.judged, item.judged.verdict
    return Sighting(
        defect=defect,
        report=report,
        person=finder.person,
        how=str(item.merge),
        severity=str(judged.verdict.graded),
        bars=str(verdict.bars),
        finding=verdict.finding or "",
        note=judged.given.note,
        value=judged.value,
        unit_of_measure=judged.unit_of_measure,
        seen_at=finder.performed_at,
        recorded_at=finder.now,
    )


def _first_sighting(defect: Defect) -> Sighting:
    """The sighting of a fault told in free text, which is its first."""
    return Sighting(
        defect=defect,
        report=defect.report,
        person=defect.found_by,
        how=SightingHow.NEW,
        severity=defect.severity,
        bars=defect.bars,
        note=defect.text,
        seen_at=defect.found_at,
        recorded_at=defect.recorded_at,
    )


def _save(found: Found, finder: Finder) -> None:
    if found.new:
        Defect.objects.bulk_create(found.new)
    if found.raised:
        Defect.objects.bulk_update(found.raised, _RAISED_FIELDS)
    if found.listed:
        Defect.objects.bulk_update(found.listed, ["listing", "version"])
    if found.renamed:
        Defect.objects.bulk_update(found.renamed, _NAMING_FIELDS)
    if found.sightings:
        Sighting.objects.bulk_create(found.sightings)
    _place_holds(found, finder)


def _place_holds(found: Found, finder: Finder) -> None:
    """A carrier's hold for each defect that may not move and has none standing; those that stand are told again."""
    grave = {s.defect_id: s.defect for s in found.sightings if s.defect.severity == Severity.DO_NOT_MOVE}
    late = {s.defect_id for s in found.sightings if s.how == SightingHow.LATE}
    known = grave.keys() - {defect.pk for defect in found.new}
    if known:
        standing = Hold.objects.filter(defect_id__in=known, lifted_at__isnull=True).order_by("number")
        found.standing = list(standing)
    held = {hold.defect_id for hold in found.standing} | late
    holds = [
        Hold(
            unit_id=defect.unit_id,
            kind=HoldKind.CARRIER,
            defect=defect,
            reason=what_of_defect(defect, finder.catalogue, "en"),
            placed_at=finder.performed_at,
            placed_by=finder.person,
            recorded_at=finder.now,
        )
        for defect in grave.values()
        if defect.pk not in held
    ]
    if holds:
        found.holds = Hold.objects.bulk_create(holds)
