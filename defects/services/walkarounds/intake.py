"""Taking in one walk-around, in one transaction: lock, judge, store, and bring about what follows from it."""

import random
import time
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from functools import cache
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import TextField, UUIDField

from common.canonical import plain
from common.clock import day_in_zone
from common.compiled import CompiledObjects, Parameter, insert
from common.errors import Conflict, NotAllowed, NotFound, Unavailable
from defects.models import Report, SentBody, Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.body import ReportBody, Submission, WalkaroundBody, one_for_each_unit
from defects.rules.walkarounds.timing import Timing, time_of
from defects.rules.walkarounds.verdicts import Circumstances
from defects.selectors.catalogue.catalogue import catalogue_in_force, is_stored, observer_of, stored_catalogue
from defects.selectors.walkarounds.receipts import Receipt, stored_receipt
from defects.services.defects.sightings import store_catalogue
from defects.services.records.measurements import measured_values, readings_of_walk
from defects.services.walkarounds.context import UnitsMovedError, WalkaroundContext, confirmed_since, lock_context
from defects.services.walkarounds.judging import Flagged, judge_reports
from defects.services.walkarounds.outcome import bring_about, whereabouts_after
from defects.services.walkarounds.third_party_units import add_third_party_units, complete_third_party_units
from fleet.enums import SignatureMethod, SignaturePurpose, UnitKind
from fleet.models import Person, Site, Unit
from fleet.rules.units.combinations import is_combination
from fleet.rules.units.references import without_our_name
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.units.combinations import chosen_among, keys_and_numbers, named_units
from fleet.services.people.signatures import sign
from fleet.services.units.couplings import LockSetChanged, take_over

ATTEMPTS = 4
"""How often a write is tried when units moved meanwhile or the database chose it to break a deadlock."""

RETRIED_STATES = ("40001", "40P01")
"""Serialization failure and deadlock detected (PostgreSQL, appendix A)."""


def submit_walkaround(*, walkaround_id: UUID, submission: Submission, actor: Person, now: datetime) -> Receipt:
    """Take in a signed walk-around under the name the phone gave it; sending it again gives the same receipt.

    Raises what `known_receipt` does, NotAllowed `signed_by_another`, Unavailable `busy` after repeated collisions.
    """
    signer = submission.signature.signer.casefold()
    if signer and signer not in {str(actor.pk), (actor.username or "").casefold()}:
        raise NotAllowed("signed_by_another")
    for attempt in range(ATTEMPTS):
        try:
            with transaction.atomic():
                return take_in(walkaround_id, submission, time_of(submission.body, now), actor=actor, now=now)
        except (LockSetChanged, UnitsMovedError):
            _pause(attempt)
        except OperationalError as error:
            if getattr(error.__cause__, "sqlstate", None) not in RETRIED_STATES:
                raise
            _pause(attempt)
        except IntegrityError:
            # Sent before, or twice at once: the other request has stored it.
            known = known_receipt(walkaround_id=walkaround_id, body_hash=submission.body_hash, actor=actor, now=now)
            if known is None:
                raise
            return known
    raise Unavailable("busy")


def known_receipt(*, walkaround_id: UUID, body_hash: str, actor: Person, now: datetime) -> Receipt | None:
    """The receipt of what is stored under the name already, marked as replayed.

    Raises Conflict `walkaround_differs` for another body under the name, NotFound for another person's name.
    """
    stored = next(iter(_stored().fetch(walkaround=walkaround_id)), None)
    if stored is None:
        return None
    if stored.person_id != actor.pk:
        raise NotFound("not_found")
    if stored.body_hash != body_hash:
        raise Conflict("walkaround_differs")
    return stored_receipt(stored, now=now)


@cache
def _stored() -> CompiledObjects[Walkaround]:
    return CompiledObjects(Walkaround.objects.filter(pk=Parameter("walkaround", UUIDField())).order_by())


def _pause(attempt: int) -> None:
    time.sleep(random.uniform(0.005, 0.02) * (attempt + 1))  # noqa: S311  spreads colliding writers, hides nothing


def take_in(walkaround_id: UUID, submission: Submission, timing: Timing, *, actor: Person, now: datetime) -> Receipt:
    """Store everything the walk-around brings and answer with its receipt; the caller owns the transaction."""
    body = submission.body
    effective = effective_policies(now=now)
    catalogue = catalogue_in_force(effective.policies)
    on = day_in_zone(timing.performed_at, effective.zone)
    met, others = add_third_party_units(body.units_of_others, carrier=effective.carrier, since=on, actor=actor, now=now)
    units, stored = _units(body, catalogue, effective.carrier)
    context = lock_context(
        units, [item.unit for item in met], timing.performed_at, catalogue=catalogue, actor=actor, now=now
    )
    others += complete_third_party_units(met, context.work)
    if not stored:
        store_catalogue(catalogue, now=now)
    named = _named(body, catalogue)
    walkaround = _walkaround(walkaround_id, submission, timing, context, named)
    walkaround.coupling_id = _couple(body, context, known=timing.known)
    coupled = walkaround.coupling_id is not None or not timing.known
    walkaround.flags += [*others, *_not_together(body, context, coupled=coupled)]
    under = Circumstances(
        catalogues=(catalogue,) if named is None or named is catalogue else (catalogue, named),
        conditions=body.surroundings,
        on=on,
        observer_of=observer_of(actor.current_roles, actor.scopes_on(on)),
        time_known=timing.known,
        named=named,
    )
    given = _reports(walkaround, body, context)
    assessed, known, meters = judge_reports(walkaround, given, context, under)
    whereabouts = whereabouts_after(walkaround, given, context, coupled=bool(body.coupled)) if timing.known else []
    sent = [SentBody(id=walkaround.pk, text=submission.as_sent, received_at=now)] if submission.as_sent else []
    reports = [report for report, _ in assessed]
    rows = [walkaround.signature, walkaround, *sent, *reports, *measured_values(assessed), *meters]
    rows += readings_of_walk(assessed, meters, context.work)
    if known.open or any(assessment.reported for _, assessment in assessed):
        insert(rows)  # what is brought about may look for them
        rows = []
    receipt = bring_about(walkaround, assessed, known, context)
    context.work.write([*rows, *whereabouts])
    return receipt


def _units(body: WalkaroundBody, catalogue: Catalogue, carrier: str) -> tuple[dict[str, Unit], bool]:
    """The units by the reference given, and whether the catalogue is known to be stored already.

    One named with the carrier as its owner is our own of that number.
    """
    refs = {report.unit: without_our_name(report.unit, carrier) for report in body.reports}
    rows = _named_units().fetch(**keys_and_numbers(refs.values()), catalogue=catalogue.content_hash)
    found = zip(refs, chosen_among(refs.values(), rows), strict=True)
    known = any(row.stored for row in rows)  # type: ignore[attr-defined]  # annotated
    return {reported: unit for reported, unit in found if unit is not None}, known


@cache
def _named_units() -> CompiledObjects[Unit]:
    """The units of `keys` and `numbers`, and whether the `catalogue` is stored."""
    return CompiledObjects(
        named_units().annotate(stored=is_stored(Parameter("catalogue", TextField()))), also=("stored",)
    )


def _named(body: WalkaroundBody, in_force: Catalogue) -> Catalogue | None:
    """The catalogue that the phone says it carried; None where it names none, or none of ours."""
    if body.catalogue == in_force.content_hash:
        return in_force
    return stored_catalogue(body.catalogue) if body.catalogue else None


def _walkaround(
    key: UUID, submission: Submission, timing: Timing, context: WalkaroundContext, named: Catalogue | None
) -> Walkaround:
    """The unsaved walk-around with the driver's unsaved signature over all that was handed in.

    What is not known of where, with whom and by which catalogue is flagged; each is looked up only where it is named.
    """
    body, signature, now = submission.body, submission.signature, context.work.now
    flags: list[Flagged] = [dict(flag) for flag in submission.flags]
    flags += [{"code": code, "facts": {}} for code in timing.flags]
    if not body.reports:
        flags.append({"code": "nothing_reported", "facts": {}})
    if body.catalogue and named is None:
        flags.append({"code": "catalogue_unknown", "facts": {"catalogue": body.catalogue}})
    site = Site.objects.filter(code__iexact=body.site).first() if body.site else None
    if body.site and site is None:
        flags.append({"code": "site_unknown", "facts": {"site": body.site}})
    mate = body.team_mate  # the other driver of a team who agrees to the report (396.11(a)(2)(ii))
    team_mate = Person.objects.filter(username__iexact=mate, left_on__isnull=True).first() if mate else None
    if mate and team_mate is None:
        flags.append({"code": "team_mate_unknown", "facts": {"team_mate": mate}})
    return Walkaround(
        id=key,
        kind=body.kind,
        person=context.work.actor,
        team_mate=team_mate,
        signature=sign(
            purpose=SignaturePurpose.REPORT,
            signer=context.work.actor,
            token_owner=context.work.actor,
            shown=signature.shown,
            content={"walkaround": key, "body": submission.body_hash},
            method=signature.method or SignatureMethod.OTHER,
            device=signature.device,
            signed_at=timing.signed_at,
            offset_minutes=timing.offset_minutes,
            now=now,
        ),
        body_hash=submission.body_hash,
        catalogue_id=(named or context.catalogue).content_hash,
        site=site,
        started_at=timing.started_at,
        finished_at=timing.finished_at,
        performed_at=timing.performed_at,
        received_at=now,
        offset_minutes=timing.offset_minutes,
        skew_seconds=int(timing.skew.total_seconds()),
        conditions=plain(asdict(body.surroundings)),
        flags=flags,
    )


def _couple(body: WalkaroundBody, context: WalkaroundContext, *, known: bool) -> UUID | None:
    """The combination that the driver had, which takes over whatever was recorded before; None when not coupled.

    While it is not known when that was, it takes over nothing.
    """
    road_units = [unit for unit in context.units.values() if unit.kind != UnitKind.COOLING_UNIT]
    if not body.coupled or not road_units:
        return None
    stands = context.combination.together(frozenset(unit.pk for unit in road_units))
    if stands is not None or not known:
        return stands
    coupling = take_over(
        work=context.work,
        units=road_units,
        performed_at=context.performed_at,
        confirmed=confirmed_since(context.combination.members, context.performed_at),
    )
    return None if coupling is None else coupling.pk


def _not_together(body: WalkaroundBody, context: WalkaroundContext, *, coupled: bool) -> list[Flagged]:
    """What is flagged where the driver had units coupled and the record does not follow.

    They cannot run together, or a later walk-around saw one of them in another combination. Nothing while a unit is
    not known.
    """
    if not body.coupled or any(report.unit not in context.units for report in body.reports):
        return []
    kinds = {unit.pk: unit.kind for unit in context.units.values() if unit.kind != UnitKind.COOLING_UNIT}
    if is_combination(kinds.values()):
        return [] if coupled else [{"code": "combination_confirmed_since", "facts": {}}]
    return [{"code": "not_a_combination", "facts": {}}] if len(kinds) > 1 else []


def _reports(
    walkaround: Walkaround, body: WalkaroundBody, context: WalkaroundContext
) -> list[tuple[Report, ReportBody]]:
    """The unsaved report of each unit, not judged yet, with what was given on it."""
    reports = []
    keys: Mapping[str, UUID] = {ref: unit.pk for ref, unit in context.units.items()}
    for position, (reported, doubled) in enumerate(one_for_each_unit(body.reports, keys)):
        unit = context.units.get(reported.unit)
        said = {"unit": reported.unit}
        flags: list[Flagged] = [] if unit else [{"code": "unit_unknown", "facts": said}]
        flags += [{"code": "unit_named_twice", "facts": said}] if doubled else []
        report = Report(
            walkaround=walkaround,
            position=position,
            unit=unit,
            given_unit=reported.unit,
            signature=walkaround.signature,
            faults=[plain(fault.model_dump(exclude={"unread"})) for fault in reported.faults],
            flags=flags,
            performed_at=walkaround.performed_at,
        )
        reports.append((report, reported))
    return reports
