"""A driver refuses a unit and keeps a copy; it is offered to nobody until a second qualified person has looked."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from common.canonical import canonical_json, sha256_hex
from common.clock import day_in_zone
from common.errors import Conflict, Invalid, NotAllowed, NotFound, or_not_found
from defects.models import Defect, Refusal, SecondLook, SigningLink
from defects.selectors.catalogue.catalogue import catalogue_in_force, scope_needed
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.refusals import refusal_state
from defects.selectors.signing_links import is_confirmed
from defects.services.records.signatures import AS_MEANT, AsSent, Signing, instant_of, refuse_another, signature_of
from defects.services.refusals.copies import Copy, write_copy
from defects.services.refusals.notifications import notify_of_refusal, notify_of_second_look
from defects.transitions import REFUSALS, REFUSE
from fleet.enums import Scope, SignaturePurpose
from fleet.models import Carrier, Person, Signature, Unit
from fleet.selectors.carrier.carrier import EffectivePolicies, effective_policies
from fleet.services.records.unit_of_work import unit_of_work


def refuse_unit(
    *,
    refusal_id: UUID,
    unit_id: UUID,
    reason: str,
    defects: Sequence[UUID],
    signing: Signing,
    actor: Person,
    now: datetime,
    sent: AsSent = AS_MEANT,
) -> tuple[Refusal, bool]:
    """Record a driver's refusal of a unit (49 U.S.C. 31105, 49 CFR 390.6) with the driver's own copy.

    The refusal, and whether it is new: the phone names it, so sending it again gives the same one. Conflict
    `refusal_differs` for another one of that name; NotFound for another person's; Invalid `defect_not_of_unit`;
    NotAllowed `sign_yourself`.
    """
    if REFUSE.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="refuse", roles=sorted(REFUSE))
    refuse_another(signing, actor)
    named_defects = frozenset(map(str, defects))
    content = {"refusal": refusal_id, "unit": unit_id, "reason": reason, "defects": named_defects, **sent.signed}
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        known = _known(refusal_id, content, actor)
        if known is not None:
            return known, False
        unit = Unit.objects.get(pk=unit_id)
        named = _defects(defects, unit)
        refused_at = instant_of(signing, now)
        signature = signature_of(signing, purpose=SignaturePurpose.REFUSAL, content=content, actor=actor, now=now)
        signature.save(force_insert=True)
        effective = effective_policies(now=now)
        copy = write_copy(
            _copy(unit, named, reason, actor, effective=effective, times=(refused_at, now)), actor.language
        )
        refusal = Refusal.objects.create(
            id=refusal_id,
            unit=unit,
            person=actor,
            reason=reason,
            refused_at=refused_at,
            received_at=now,
            signature=signature,
            copy=copy,
            copy_hash=sha256_hex(copy),
        )
        refusal.defects.add(*named)
        sent.keep(refusal_id, now)
        work.record(
            unit.pk,
            "unit_refused",
            subject=refusal.pk,
            performed_at=refused_at,
            body={
                "reason": reason,
                "defects": [defect.number for defect in named],
                "copy_hash": refusal.copy_hash,
                **sent.history,
            },
        )
        notify_of_refusal(refusal, now=now)
        return refusal, True


@dataclass(frozen=True)
class ByLink:
    """A look by somebody of another firm: the link, the signature, who there keeps the evidence for brakes."""

    link: SigningLink
    signing: Signing
    brake_evidence: str = ""


def look_again(
    *, refusal_id: UUID, found: str, looked_at: datetime, actor: Person, now: datetime, outsider: ByLink | None = None
) -> SecondLook:
    """Record what a second qualified person found; the unit may be offered again, as far as nothing else bars it.

    It is the actor, or an outsider by a link of the actor's, whose firm another must have confirmed before: Conflict
    `firm_confirmed_first`.

    NotFound `refusal_unknown`; those of the table; NotAllowed `second_person_looks` for whoever refused,
    `not_qualified_to_look` (fact `needs`) for who lacks the qualification that a refused defect asks for; Invalid
    `looked_before_refusal`, `instant_in_future`.
    """
    unit = or_not_found(
        Refusal.objects.filter(pk=refusal_id).values_list("unit_id", flat=True).first(), "refusal_unknown"
    )
    with unit_of_work([unit], actor=actor, now=now) as work:
        refusal = Refusal.objects.select_related("second_look", "unit").get(pk=refusal_id)
        REFUSALS.resolve("second_look", refusal_state(refusal), actor.current_roles, {"found": found.strip()})
        if actor.pk == refusal.person_id:
            raise NotAllowed("second_person_looks")
        person = actor if outsider is None else outsider.signing.signer
        _refuse_unqualified(refusal, person, outsider, now)
        if looked_at > now:
            raise Invalid("instant_in_future", pointer="/looked_at")
        if looked_at < refusal.refused_at:
            raise Invalid("looked_before_refusal", pointer="/looked_at", refused_at=refusal.refused_at)
        look = SecondLook.objects.create(
            refusal=refusal,
            person=person,
            link=None if outsider is None else outsider.link,
            signature=None if outsider is None else _signed(refusal, found, outsider, actor, now),
            found=found,
            looked_at=looked_at,
            recorded_at=now,
        )
        work.record(
            refusal.unit_id,
            "second_look",
            subject=refusal.pk,
            performed_at=looked_at,
            body={"found": found, "by": person.name, "firm": "" if outsider is None else person.firm},
        )
        notify_of_second_look(look, now=now)
        return look


def _signed(refusal: Refusal, found: str, outsider: ByLink, actor: Person, now: datetime) -> Signature:
    content = {"refusal": refusal.pk, "found": found, "brake_evidence": outsider.brake_evidence}
    purpose = SignaturePurpose.SECOND_LOOK
    signature = signature_of(outsider.signing, purpose=purpose, content=content, actor=actor, now=now)
    signature.save(force_insert=True)
    return signature


def _refuse_unqualified(refusal: Refusal, person: Person, outsider: ByLink | None, now: datetime) -> None:
    """Of an outsider the firm keeps the evidence for brakes (396.25(e)); any other qualification is on record here."""
    effective = effective_policies(now=now)
    catalogue = catalogue_in_force(effective.policies)
    asked = {scope_needed(catalogue.get(defect.point)) for defect in refusal.defects.all()}
    held = set(person.scopes_on(day_in_zone(now, effective.zone)))
    if outsider is not None:
        brakes = outsider.brake_evidence.strip() != ""
        if not is_confirmed(person.firm, outsider.link, brakes=brakes):
            raise Conflict("firm_confirmed_first", firm=person.firm)
        held |= {Scope.BRAKES_INSPECT} if brakes else set()
    lacking = sorted(scope for scope in asked if scope is not None and scope not in held)
    if lacking:
        raise NotAllowed("not_qualified_to_look", needs=lacking)


def _known(refusal_id: UUID, content: object, actor: Person) -> Refusal | None:
    refusal = Refusal.objects.select_related("signature").filter(pk=refusal_id).first()
    if refusal is None:
        return None
    if refusal.person_id != actor.pk:
        raise NotFound("not_found")
    if refusal.signature.content_hash != sha256_hex(canonical_json(content)):
        raise Conflict("refusal_differs")
    return refusal


def _defects(keys: Sequence[UUID], unit: Unit) -> list[Defect]:
    named = list(Defect.objects.filter(pk__in=keys, unit=unit).order_by("number"))
    if len(named) != len(set(keys)):
        raise Invalid("defect_not_of_unit", pointer="/defects")
    return named


def _copy(
    unit: Unit,
    defects: Sequence[Defect],
    reason: str,
    actor: Person,
    *,
    effective: EffectivePolicies,
    times: tuple[datetime, datetime],
) -> Copy:
    catalogue = catalogue_in_force(effective.policies)
    carrier = Carrier.objects.get()
    refused_at, received_at = (instant.astimezone(ZoneInfo(effective.zone)) for instant in times)
    return Copy(
        driver=actor.name,
        carrier=f"{carrier.name}, USDOT {carrier.usdot_number}",
        unit=str(unit),
        plate=" ".join(filter(None, (unit.plate_state, unit.plate))),
        reason=reason,
        defects=[what_of_defect(defect, catalogue, actor.language) for defect in defects],
        refused_at=refused_at,
        received_at=received_at,
    )
