"""What somebody of another firm signs by a link: certificates of repair, each with a photo, or a second look."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import FieldProblem, Invalid
from defects.models import Certificate, Defect, Photo, SecondLook, SigningLink
from defects.selectors.defects.naming import language_of, names_of_defect
from defects.selectors.signing_links import firm_to_confirm
from defects.services.certificates.certify import repaired
from defects.services.defects.evidence import Statement
from defects.services.defects.locked import read_locked
from defects.services.records.measurements import Measured
from defects.services.records.signatures import Signing, instant_of
from defects.services.refusals.refusals import ByLink, look_again
from defects.services.signing_links.links import use_link
from defects.services.walkarounds.photos import Sent, store_defect_photo
from fleet.enums import NotificationKind, Role, SignatureMethod
from fleet.models import Notification
from fleet.selectors.units.combinations import trailers_beside
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)
from fleet.services.people.people import outside_person
from fleet.services.records.unit_of_work import lock_units, unit_of_work


def notify_of_firm(certificates: Sequence[Certificate], *, now: datetime) -> list[Notification]:
    """Notify the foremen of the unit's site, on call too, of each certificate whose firm is to be confirmed.

    Never whoever made the link: another confirms.
    """
    drafts = []
    for certificate in certificates:
        defect, link = certificate.defect, certificate.link
        if link is None or not firm_to_confirm(defect):
            continue
        shop = RecipientGroup(Role.FOREMAN, defect.unit.home_site_id, on_call=True)
        people = [person for person in find_recipients([shop], now=now)[shop] if person.pk != link.made_by_id]
        facts = {
            "unit": str(defect.unit),
            "firm": certificate.firm,
            "signer": certificate.signature.signer.name,
            "defect": defect.number,
        }
        names = names_of_defect(defect)
        drafts += [
            NotificationDraft(
                kind=NotificationKind.FIRM_TO_CONFIRM,
                code="firm_to_confirm",
                subject=certificate.pk,
                people=keys,
                facts={**facts, "what": names[language_of(language)]},
                unit=defect.unit_id,
                urgent=True,
            )
            for language, keys in by_language(people).items()
        ]
    return create_notifications(drafts, now=now)


@dataclass(frozen=True)
class Repaired:
    """One defect of the link that was repaired, by number or key: the words, a photo of work or invoice, a value."""

    defect: str
    statement: str
    photo: str
    measured: Measured | None = None


@dataclass(frozen=True)
class OutsideSigner:
    """Who signs, for which firm, how and when; `brake_evidence` as on the certificate."""

    name: str
    firm: str
    method: SignatureMethod
    signed_at: datetime
    shown: str
    job_title: str = ""
    device: str = ""
    brake_evidence: str = ""


def sign_by_link(
    *, link: SigningLink, signer: OutsideSigner, repairs: Sequence[Repaired], now: datetime
) -> list[Certificate]:
    """Sign that defects of a link were repaired, and use the link up; the foremen hear of a firm nobody confirmed.

    The certificates are entered for whoever made the link, who so has a part in the repair. A fact from the road, so
    no version is asked. Invalid `not_on_the_link`, `signed_twice`; NotFound `link_unknown`; those of a certificate.
    """
    named = {name: defect for defect in link.defects.all() for name in (str(defect.number), str(defect.pk))}
    _refuse_others(repairs, named)
    actor = link.made_by
    units = {defect.unit_id for defect in named.values()}
    with unit_of_work(units, beside=trailers_beside, actor=actor, now=now) as work:
        use_link(link, now=now)
        person = outside_person(name=signer.name, firm=signer.firm, actor=actor, title=signer.job_title)
        signing = Signing(person, signer.method, signer.signed_at, signer.shown, signer.device)
        made = [
            repaired(
                work,
                read_locked(named[item.defect].pk),
                Statement(
                    text=item.statement,
                    signing=signing,
                    measured=item.measured,
                    photo=item.photo,
                    link=link,
                    brake_evidence=signer.brake_evidence,
                ),
            )
            for item in repairs
        ]
        notify_of_firm(made, now=now)
        return made


@transaction.atomic
def look_by_link(
    *, link: SigningLink, signer: OutsideSigner, found: str, looked_at: datetime, now: datetime
) -> SecondLook:
    """Sign the second look that a link is for, and use the link up. Invalid `not_on_the_link`; those of the look."""
    refusal = link.refusal
    if refusal is None:
        raise Invalid("not_on_the_link", pointer="/found")
    lock_units([refusal.unit_id])
    use_link(link, now=now)
    person = outside_person(name=signer.name, firm=signer.firm, actor=link.made_by, title=signer.job_title)
    signing = Signing(person, signer.method, signer.signed_at, signer.shown, signer.device)
    instant_of(signing, now, since=refusal.refused_at)
    return look_again(
        refusal_id=refusal.pk,
        found=found,
        looked_at=looked_at,
        actor=link.made_by,
        now=now,
        outsider=ByLink(link, signing, signer.brake_evidence),
    )


def store_photo_by_link(*, link: SigningLink, sent: Sent, now: datetime) -> tuple[list[Photo], bool]:
    """Keep a photo on every defect of a link; the rows, and whether one is new. Those of `store_defect_photo`."""
    defects: list[UUID] = sorted(link.defects.values_list("pk", flat=True))
    kept = [store_defect_photo(defect_id=defect, sent=sent, actor=link.made_by, now=now) for defect in defects]
    return [photo for photo, _ in kept], any(new for _, new in kept)


def _refuse_others(repairs: Sequence[Repaired], named: dict[str, Defect]) -> None:
    seen: set[UUID] = set()
    for position, item in enumerate(repairs):
        pointer = f"/certificates/{position}/defect"
        if item.defect not in named:
            raise Invalid("not_on_the_link", problems=[FieldProblem(pointer, "not_on_the_link")])
        if named[item.defect].pk in seen:
            raise Invalid("signed_twice", problems=[FieldProblem(pointer, "signed_twice")])
        seen.add(named[item.defect].pk)
