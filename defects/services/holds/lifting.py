"""Lifting a hold: when what it waits for is repaired, by a foreman who had no part in the repair. Nobody overrides."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from common.clock import day_in_zone
from common.errors import Conflict, FieldProblem, Invalid, NotAllowed, PreconditionFailed, or_not_found
from defects.enums import CertificateKind, DefectState, HoldKind
from defects.models import Defect, EntryInError, Hold, Measurement, Photo
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import faults_named, language_of, names_of_hold, numbers
from defects.selectors.holds import defects_under, hold_rows, hold_state, hold_version, photo_awaited
from defects.selectors.signing_links import firm_to_confirm
from defects.services.records.measurements import Measured, refuse_past_limit
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.transitions import HOLDS
from fleet.enums import NotificationKind, Role, SignaturePurpose
from fleet.models import Notification, Person
from fleet.selectors.carrier.carrier import EffectivePolicies, effective_policies
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)
from fleet.services.records.unit_of_work import unit_of_work


def notify_of_lift_elsewhere(hold: Hold, *, now: datetime) -> list[Notification]:
    """Notify the foremen of the unit's home site of a lift by one who is no foreman there, at once.

    Nothing is read for a foreman of the site, or where the unit has no home site.
    """
    site, lifter = hold.unit.home_site_id, hold.lifted_by
    if site is None or lifter is None or Role.FOREMAN in lifter.roles_at(site):
        return []
    shop = RecipientGroup(Role.FOREMAN, site)
    people = [person for person in find_recipients([shop], now=now)[shop] if person.pk != lifter.pk]
    names = names_of_hold(hold)
    drafts = [
        NotificationDraft(
            kind=NotificationKind.HOLD_LIFTED,
            code="hold_lifted_elsewhere",
            subject=hold.pk,
            people=keys,
            facts={
                "unit": str(hold.unit),
                "hold": hold.number,
                "what": names[language_of(language)],
                "lifted_by": lifter.name,
                "at": hold.lifted_at,
            },
            unit=hold.unit_id,
            urgent=True,
        )
        for language, keys in by_language(people).items()
    ]
    return create_notifications(drafts, now=now)


ENTERED_IN_ERROR = "entered_in_error"
"""The flag of a lift of what was not repaired but entered in error."""
SAME_PERSON = "same_person"
"""The flag of a lift by one who had a part in the repair, which only a carrier too small for two may allow."""


def lift_hold(
    *, hold_id: UUID, version: int | None, signing: Signing, reason: str, actor: Person, now: datetime
) -> Hold:
    """Lift a hold with a signature.

    The carrier's own lifts when the defect under it is certified repaired or was entered in error; one that a person
    placed without a defect, with a reason. An officer's order lifts only when every repair on the notice for this
    unit is done (396.9(c)(2)). Raises NotFound `hold_unknown`; PreconditionFailed `version_changed`; those of the
    table; Conflict `repairs_outstanding` and `photo_not_arrived` (fact `defects`), `firm_not_confirmed` (fact `firms`),
    `order_without_repairs`, `new_evidence_needed`; NotAllowed `second_person_lifts`, `in_error_by_another`,
    `sign_yourself`.
    """
    unit = or_not_found(Hold.objects.filter(pk=hold_id).values_list("unit_id", flat=True).first(), "hold_unknown")
    with unit_of_work([unit], actor=actor, now=now) as work:
        hold = hold_rows().get(pk=hold_id)
        under = defects_under(hold)
        if version != hold_version(hold, under):
            raise PreconditionFailed("version_changed", current_version=hold_version(hold, under))
        HOLDS.resolve("lift", hold_state(hold), actor.current_roles, {"signature"})
        refuse_another(signing, actor)
        instant_of(signing, now, since=hold.placed_at)
        _refuse_unrepaired(hold, under, reason)
        hold.lift_flag = _flag(under, actor, now)
        content = {"hold": hold.pk, "unit": hold.unit_id, "defects": [defect.pk for defect in under], "reason": reason}
        signature = signature_of(signing, purpose=SignaturePurpose.LIFT, content=content, actor=actor, now=now)
        signature.save(force_insert=True)
        hold.lifted_at, hold.lifted_by, hold.lift_signature, hold.lift_reason = now, actor, signature, reason
        if hold.defect is not None:
            work.save(hold.defect)
        hold.save(update_fields=["lifted_at", "lifted_by", "lift_signature", "lift_reason", "lift_flag"])
        work.record(
            hold.unit_id,
            "hold_lifted",
            subject=hold.pk,
            body={
                "hold": hold.number,
                "kind": hold.kind,
                "reason": reason,
                "flag": hold.lift_flag,
                "fault": names_of_hold(hold),
            },
        )
        notify_of_lift_elsewhere(hold, now=now)
        return hold


def is_repaired(defect: Defect) -> bool:
    """Whether a certificate in force says that the defect was repaired."""
    certificate = defect.current_certificate
    ended = defect.state in {DefectState.CERTIFIED, DefectState.CLOSED}
    return ended and certificate is not None and certificate.kind == CertificateKind.REPAIRED


def _refuse_unrepaired(hold: Hold, under: Sequence[Defect], reason: str) -> None:
    officer = hold.kind == HoldKind.OFFICER
    if officer and not under:
        raise Conflict("order_without_repairs", hold=hold.number)
    outstanding = [
        defect
        for defect in under
        if not is_repaired(defect) and (officer or defect.state != DefectState.ENTERED_IN_ERROR)
    ]
    if outstanding:
        raise Conflict(
            "repairs_outstanding", hold=hold.number, defects=numbers(outstanding), faults=faults_named(outstanding)
        )
    unproven = [defect for defect in under if photo_awaited(defect)]
    if unproven:
        raise Conflict("photo_not_arrived", hold=hold.number, defects=numbers(unproven), faults=faults_named(unproven))
    firms = sorted({firm for defect in under if (firm := firm_to_confirm(defect))})
    if firms:
        raise Conflict("firm_not_confirmed", hold=hold.number, what=names_of_hold(hold), firms=firms)
    if not under and not reason.strip():
        raise Invalid("required_fields_missing", problems=[FieldProblem("/reason", "required")])


def _flag(under: Sequence[Defect], actor: Person, now: datetime) -> str:
    """What a reader should know of the lift; empty as a rule.

    Whoever had a part in what ended a defect lifts only where the carrier's policy says that it is too small for two,
    and then something new must show it: Conflict `new_evidence_needed`.
    """
    own = [defect for defect in under if actor.pk in _had_a_part(defect)]
    in_error = [defect for defect in under if defect.state == DefectState.ENTERED_IN_ERROR]
    if own:
        effective = effective_policies(now=now)
        if not effective.policies.get("small_carrier_lift", False):
            raise NotAllowed("in_error_by_another" if own == in_error else "second_person_lifts")
        lacking = [defect for defect in own if not _shown_anew(defect, effective)]
        if lacking:
            raise Conflict("new_evidence_needed", defects=numbers(lacking), faults=faults_named(lacking))
    flags = {SAME_PERSON: own, ENTERED_IN_ERROR: in_error}
    return ", ".join(flag for flag, defects in flags.items() if defects)


def _had_a_part(defect: Defect) -> set[UUID]:
    """Who worked on the defect, who signed or entered that it was repaired, and who entered it in error."""
    people = {person.pk for person in defect.worked_by.all()}
    certificate, entry = defect.current_certificate, _entry_of(defect)
    if certificate is not None:
        people |= {person.pk for person in certificate.worked_by.all()}
        people |= {certificate.signature.signer_id, certificate.signature.token_owner_id}
    if entry is not None:
        people.add(entry.signature.signer_id)
    return people


def _shown_anew(defect: Defect, effective: EffectivePolicies) -> bool:
    """Whether a photo came, or a value within the limits was measured, after what ended the defect was signed."""
    certificate, entry = defect.current_certificate, _entry_of(defect)
    since = certificate.recorded_at if certificate is not None else entry.entered_at if entry is not None else None
    if since is None:
        return False
    if Photo.objects.filter(defect=defect, received_at__gt=since).exists():
        return True
    series = Measurement.objects.filter(unit=defect.unit_id, point=defect.point, place=defect.place)
    newest = series.filter(measured_at__gt=since).order_by("-measured_at", "-pk").first()
    if newest is None:
        return False
    catalogue, day = catalogue_in_force(effective.policies), day_in_zone(newest.measured_at, effective.zone)
    shown = Measured(newest.value, newest.unit_of_measure, newest.measured_at)
    refuse_past_limit(defect, shown, catalogue, day, "/measured")
    return True


def _entry_of(defect: Defect) -> EntryInError | None:
    return getattr(defect, "entry_in_error", None)
