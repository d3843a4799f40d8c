"""Signing links for reading: whose they are, the one that a token opens, and whether a signer's firm was confirmed."""

from datetime import datetime

from django.db.models import QuerySet

from defects.enums import LinkState
from defects.models import Certificate, Defect, FirmConfirmation, SigningLink
from fleet.enums import Role
from fleet.models import Person
from fleet.selectors.people.sign_in import set_roles

READ_ALL = frozenset({Role.FOREMAN, Role.COMPLIANCE, Role.AUDITOR})


def link_rows() -> QuerySet[SigningLink]:
    """Links with their makers and defects, in two statements."""
    return SigningLink.objects.select_related("made_by").prefetch_related("defects", "certificates__signature__signer")


def links_visible_to(person: Person) -> QuerySet[SigningLink]:
    """Everybody's links, or one's own."""
    return link_rows() if not READ_ALL.isdisjoint(person.current_roles) else link_rows().filter(made_by=person)


def link_in_force(token_hash: bytes, *, now: datetime) -> SigningLink | None:
    """The link of that digest that is not used, revoked or over; its `made_by` carries the roles in force."""
    active = SigningLink.objects.filter(token_hash=token_hash, used_at=None, revoked_at=None, expires_at__gt=now)
    link = active.select_related("made_by", "refusal__unit").first()
    if link is not None:
        set_roles(link.made_by, now=now)
    return link


def link_state(link: SigningLink, *, now: datetime) -> LinkState:
    """`used`, `revoked`, `over`, or `open` to be signed by."""
    if link.used_at is not None:
        return LinkState.USED
    if link.revoked_at is not None:
        return LinkState.REVOKED
    return LinkState.OVER if link.expires_at <= now else LinkState.OPEN


def firm_to_confirm(defect: Defect) -> str:
    """The firm whose word the repair rests on and that nobody but the link's maker has confirmed yet; else empty.

    For work on brakes that rests on the firm's evidence of qualification, the confirmation must say who keeps it.
    Costs a statement for a certificate signed by a link alone.
    """
    certificate = defect.current_certificate
    if certificate is None or certificate.link is None:
        return ""
    confirmed = is_confirmed(certificate.firm, certificate.link, brakes=certificate.brake_evidence != "")
    return "" if confirmed else certificate.firm


def confirmation_of(certificate: Certificate) -> FirmConfirmation | None:
    """The first word of another than the link's maker for the firm that signed; None without a link, or while awaited.

    Costs a statement for a certificate signed by a link alone.
    """
    if certificate.link is None:
        return None
    counting = _counting(certificate.firm, certificate.link, brakes=certificate.brake_evidence != "")
    return counting.select_related("confirmed_by").order_by("confirmed_at", "pk").first()


def is_confirmed(firm: str, link: SigningLink, *, brakes: bool) -> bool:
    """Whether another than the link's maker confirmed the firm, for `brakes` with who keeps the evidence there."""
    return _counting(firm, link, brakes=brakes).exists()


def _counting(firm: str, link: SigningLink, *, brakes: bool) -> QuerySet[FirmConfirmation]:
    confirmed = FirmConfirmation.objects.filter(firm__iexact=firm).exclude(confirmed_by=link.made_by_id)
    return confirmed.exclude(brake_evidence="") if brakes else confirmed
