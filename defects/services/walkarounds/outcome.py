"""What follows from judged and stored reports: defects, sightings, holds, certificates, history, announcements."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from common.canonical import plain
from defects.enums import HoldKind, Listing, Severity, SightingHow, WalkaroundKind
from defects.models import Defect, Hold, Report, Walkaround
from defects.rules.defects.judgement import (
    UNGRADED,
    Judgement,
    how_seen,
    is_further,
    judgement_of,
    judgement_of_check,
    named_by,
    raised_to,
    worst_first,
)
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import ReportBody
from defects.rules.walkarounds.verdicts import Fault, Verdict
from defects.selectors.walkarounds.receipts import Receipt, holds_and_work, permitted_moves
from defects.services.defects.sightings import Sightings
from defects.services.holds.placing import (
    holds_of_grave,
    notify_of_barred_on_road,
    notify_of_bars,
    notify_of_unknown_units,
    place_holds,
)
from defects.services.loads.at_risk import open_loads_at_risk
from defects.services.walkarounds.context import KnownDefects, WalkaroundContext
from defects.services.walkarounds.corrections import Correction, certify_corrections, corrections_of
from defects.services.walkarounds.judging import LEFT_WITHOUT_UNIT
from defects.signals import defects_certified, defects_reported
from fleet.enums import Location
from fleet.models import Site, Whereabouts
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.services.units.whereabouts import Left, whereabouts_of


def store_faults(
    assessed: Iterable[tuple[Report, Assessment]], known: KnownDefects, context: WalkaroundContext
) -> Sightings:
    """Store every finding: new defects, sightings of all, and raised severities."""
    sightings = Sightings(context.work, at=context.performed_at, catalogue=context.catalogue.content_hash)
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        faults = known.open.get(report.unit_id, {}), known.ended.get(report.unit_id, {})
        _find(sightings, report, assessment, *faults)
        for fault in assessment.faults:
            defect = sightings.open(UNGRADED, unit_id=unit_of(report), text=fault.words, report=report, heard=fault)
            sightings.see(defect, SightingHow.NEW, note=fault.words, report=report, heard=fault)
    sightings.save()
    return sightings


def hold_grave(sightings: Sightings, active: Iterable[Hold], context: WalkaroundContext) -> list[Hold]:
    """The holds placed on what says do not move and is not held already."""
    own = [hold for hold in active if hold.kind == HoldKind.CARRIER]
    return place_holds(context.work, holds_of_grave(context.work, sightings.shown, own, at=context.performed_at))


def unit_of(report: Report) -> UUID:
    """The unit of a report; ValueError while it is not known, for then nothing is stored on a unit."""
    if report.unit_id is None:
        msg = f"{report.given_unit} is no known unit"
        raise ValueError(msg)
    return report.unit_id


def _find(
    sightings: Sightings,
    report: Report,
    assessment: Assessment,
    open_defects: Mapping[Fault, Defect],
    ended: Mapping[Fault, Defect],
) -> None:
    """Open or see what one report found, fault by fault; a doubled answer belongs to the first of its kind."""
    for fault, found in worst_first(assessment.findings).items():
        repaired = ended.get(fault)
        how, defect = how_seen(found[0], open_defects.get(fault), repaired, report.performed_at)
        for verdict in found:
            judgement = judgement_of_check(verdict)
            if defect is None:
                defect = sightings.open(
                    judgement,
                    unit_id=unit_of(report),
                    point=verdict.check.point,
                    place=verdict.check.place,
                    text=verdict.words,
                    report=report,
                    comeback_of=None if repaired is None else repaired.pk,
                    heard=verdict.check,
                )
            elif how is SightingHow.RAISED:
                sightings.raise_to(defect, _listed(raised_to(judgement_of(defect), judgement), verdict))
                if not defect.finding and defect.limit_value is None:
                    defect.text = verdict.words  # neither a finding nor a limit names it
            elif how is SightingHow.SEEN_AGAIN:
                _keep_worst(sightings, defect, verdict, judgement)
            sightings.see(defect, how, judgement, note=verdict.check.note, report=report, heard=verdict.check)
            how = SightingHow.LATE if how is SightingHow.LATE else SightingHow.SEEN_AGAIN


def _keep_worst(sightings: Sightings, defect: Defect, verdict: Verdict, found: Judgement) -> None:
    """A defect that was only noted may be listed by being found again; one measured further off is named by it."""
    known = judgement_of(defect)
    worse = _listed(known, verdict)
    if worse == known and is_further(verdict, defect):
        worse = named_by(known, found)
    if worse != known:
        sightings.change(defect, worse)


def _listed(judgement: Judgement, verdict: Verdict) -> Judgement:
    if judgement.listing == Listing.NOTED and verdict.listing is not Listing.NOTED:
        return replace(judgement, listing=str(verdict.listing))
    return judgement


def bring_about(
    walkaround: Walkaround,
    assessed: Sequence[tuple[Report, Assessment]],
    known: KnownDefects,
    context: WalkaroundContext,
) -> Receipt:
    """Store what was found and put right, note it in the history, announce it and tell of it.

    The caller has stored the reports, and ends the unit of work of the context.
    """
    work, catalogue = context.work, context.catalogue
    record_reports(work, walkaround, assessed)
    found = store_faults(assessed, known, context)
    held, in_shop = holds_and_work(unit.pk for unit in context.units.values())
    permitted = permitted_moves({hold.unit_id for hold in held}, context.performed_at) if held else {}
    placed = hold_grave(found, held, context)
    corrections = corrections_of(assessed, known)
    certificates = certify_corrections(corrections, walkaround.signature, context)
    record_corrections(work, walkaround, corrections)
    # One that is only seen again too: its order may have been cancelled since, or its work called done, uncertified.
    to_repair = [defect for defect in found.shown if defect.severity != Severity.WATCH]
    if to_repair:
        defects_reported.send(Walkaround, defects=to_repair, work=work, seen_at=context.performed_at)
    if certificates:
        defects_certified.send(Walkaround, certificates=certificates, work=work)
    notifications = notify_of_bars(
        placed,
        [*found.new, *found.raised],
        units=context.units.values(),
        catalogue=catalogue,
        site=walkaround.site,
        now=work.now,
        caused_by=walkaround.pk,
    )
    at_risk = open_loads_at_risk(
        found.shown,
        fresh={defect.pk for defect in (*found.new, *found.raised)},
        mounted=context.combination.mounted,
        work=work,
        caused_by=walkaround.pk,
    )
    unknown = notify_of_unknown_units(
        assessed, catalogue=catalogue, site=walkaround.site, reporter=work.actor, now=work.now, caused_by=walkaround.pk
    )
    on_road = notify_of_barred_on_road(
        walkaround,
        [report for report, _ in assessed if report.unit_id not in permitted],
        held,
        in_shop,
        catalogue=catalogue,
        now=work.now,
    )
    return Receipt(
        walkaround=walkaround,
        reports=[report for report, _ in assessed],
        sightings=found.sightings,
        holds=[*held, *placed],
        work=in_shop,
        permitted=permitted,
        certificates=certificates,
        notifications=[*notifications, *at_risk.notifications, *unknown, *on_road],
        catalogue=catalogue,
    )


def whereabouts_after(
    walkaround: Walkaround, given: Iterable[tuple[Report, ReportBody]], context: WalkaroundContext, *, coupled: bool
) -> list[Whereabouts]:
    """The unsaved rows of where the units are now: left as the driver says, at the site he names, or under way.

    A cooling unit of which nothing is said is where its trailer is. What cannot be recorded is flagged, and kept there
    until somebody says which unit it is.
    """
    places: dict[UUID, Left] = {}
    for report, said in given:
        left = _left(walkaround, said, coupled=coupled)
        if report.unit_id is None:
            if said.left is not None:
                facts: dict[str, object] = {"unit": report.given_unit}
                if said.left.location is not None:
                    facts["left"] = plain(said.left.model_dump(exclude={"unread"}, exclude_defaults=True))
                report.flags = [*report.flags, {"code": LEFT_WITHOUT_UNIT, "facts": facts}]
        elif left is not None:
            places[report.unit_id] = left
    for trailer, cooling_unit in context.combination.mounted:
        if trailer in places and cooling_unit not in places:
            there = places[trailer]
            places[cooling_unit] = Left(location=there.location, site=there.site, address=there.address)
    return [
        whereabouts_of(unit, left, since=context.performed_at, work=context.work, walkaround_id=walkaround.pk)
        for unit, left in places.items()
    ]


def _left(walkaround: Walkaround, said: ReportBody, *, coupled: bool) -> Left | None:
    """Where a unit is after a walk-around; None where it does not say. A site that is not ours is an address."""
    left, site, kind = said.left, walkaround.site, walkaround.kind
    if left is not None and left.location is not None:
        named = Site.objects.filter(code__iexact=left.site).first() if left.site else None
        at_site = left.location is Location.SITE
        how = left.model_dump(exclude={"unread", "location", "site", "address"})
        address = left.address if named is not None else " ".join(filter(None, (left.site, left.address)))
        return Left(location=left.location, site=named or (site if at_site else None), address=address, **how)
    if kind in {WalkaroundKind.PICK_UP, WalkaroundKind.EN_ROUTE} or (kind == WalkaroundKind.PRE_TRIP and coupled):
        return Left(location=Location.UNDER_WAY)
    if kind in {WalkaroundKind.DROP, WalkaroundKind.POST_TRIP} and site is not None:
        return Left(location=Location.SITE, site=site)
    return None


def record_reports(work: UnitOfWork, walkaround: Walkaround, assessed: Iterable[tuple[Report, Assessment]]) -> None:
    """Note the signed reports, each on its unit; before what they found."""
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        work.record(
            report.unit_id,
            "report_signed",
            subject=report.pk,
            performed_at=walkaround.performed_at,
            body={
                "walkaround": walkaround.pk,
                "kind": walkaround.kind,
                "body_hash": walkaround.body_hash,
                "checks": len(assessment.judged),
                "findings": len(assessment.findings) + len(assessment.faults),
                "corrected": sum(verdict.is_correction for verdict in assessment.judged),
                "flagged": len(report.flags),
            },
        )


def record_corrections(work: UnitOfWork, walkaround: Walkaround, corrections: Iterable[Correction]) -> None:
    """Note what was put right on the spot, on the unit it belongs to."""
    for item in corrections:
        check = item.verdict.check
        work.record(
            unit_of(item.report),
            "fault_corrected_on_the_spot",
            subject=item.report.pk if item.defect is None else item.defect.pk,
            performed_at=walkaround.performed_at,
            body={
                "point": check.point,
                "place": check.place,
                "what": item.what,
                "by": item.by,
                "photo": item.photo,
                "defect": None if item.defect is None else item.defect.number,
                "state": None if item.defect is None else item.defect.state,
                "certificate": None if item.defect is None else item.defect.current_certificate_id,
            },
        )
