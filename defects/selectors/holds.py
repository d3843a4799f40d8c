"""Holds for reading: the rows of a list, and one by what people call it with the defects that it waits for."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from common.errors import or_not_found
from common.ids import lookup_of
from common.versions import version_of
from defects.enums import HoldKind
from defects.models import Defect, Hold, Photo, RoadsideViolation
from defects.selectors.signing_links import firm_to_confirm
from fleet.enums import HoldState


def hold_rows() -> QuerySet[Hold]:
    """Holds with their unit, defect and people, in one statement."""
    return Hold.objects.select_related(
        "unit", "placed_by", "lifted_by", "defect", "defect__current_certificate", "roadside"
    )


def hold_named(ref: str) -> Hold:
    """The hold that a number or a key names; NotFound `hold_unknown`."""
    lookup = lookup_of(ref)
    return or_not_found(None if lookup is None else hold_rows().filter(**lookup).first(), "hold_unknown")


def defects_under(hold: Hold) -> list[Defect]:
    """The defects that must be repaired before the hold may be lifted, in one statement.

    Those of an officer's order are all on the notice, as far as they are on this unit.
    """
    rows = Defect.objects.select_related(
        "unit", "current_certificate__signature__signer", "current_certificate__link", "entry_in_error__signature"
    )
    rows = rows.prefetch_related("worked_by", "current_certificate__worked_by")
    if hold.kind == HoldKind.OFFICER:
        noted = RoadsideViolation.objects.filter(inspection=hold.roadside_id, unit=hold.unit_id).values("defect_id")
        return list(rows.filter(pk__in=noted).order_by("number"))
    return list(rows.filter(pk=hold.defect_id).order_by("number")) if hold.defect_id is not None else []


def photo_awaited(defect: Defect) -> bool:
    """Whether a repair signed on the spot still lacks the photo it rests on, and any other of the repair on the defect.

    The shop's photo is there before its certificate; a phone sends its own when it can, and a lost one never comes.
    A file that cannot be opened shows nothing.
    Costs a statement for a repair on the spot alone.
    """
    certificate = defect.current_certificate
    if certificate is None or not certificate.corrected_on_the_spot:
        return False
    named = Q(walkaround__reports__unit=defect.unit_id, original=certificate.photo_sha256)
    since = Q(defect=defect, received_at__gte=certificate.certified_at)
    return not Photo.objects.filter(named | since, is_picture=True).exists()


def hold_state(hold: Hold) -> str:
    """Standing or lifted."""
    return HoldState.ACTIVE if hold.lifted_at is None else HoldState.LIFTED


def hold_version(hold: Hold, under: Iterable[Defect]) -> int:
    """The version of what lifting it rests on: the defects that it waits for, photos and firms, and its lifting."""
    waited_for = [
        [defect.pk, defect.version, photo_awaited(defect), firm_to_confirm(defect)]
        for defect in sorted(under, key=lambda defect: defect.pk)
    ]
    return version_of([hold.pk, hold.lifted_at, waited_for])
