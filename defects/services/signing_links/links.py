"""One-time links by which somebody of another firm signs: made by a person of the carrier, opened without a sign-in."""

import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, NotAllowed, NotFound, or_not_found
from common.security import log_event
from defects.enums import OPEN_DEFECT_STATES
from defects.models import Defect, Refusal, SigningLink
from defects.selectors.defects.naming import faults_named, names_of_defect
from defects.selectors.refusals import refusal_state
from defects.selectors.signing_links import link_in_force, links_visible_to
from defects.transitions import DEFECTS, REFUSALS
from fleet.models import Person
from fleet.rules.people.tokens import LINK_PREFIX, TOKEN_BYTES, link_token_hash
from fleet.services.people.sign_in_attempts import count_guess
from fleet.services.records.edits import lock_row
from fleet.services.records.unit_of_work import unit_of_work

LASTS = timedelta(hours=4)
"""How long a link may be signed by: as long as a repair at the roadside takes. Our own default, no source."""
MAKES_LINKS = DEFECTS.roles_for("certify_repaired")


def create_link(*, defects: Sequence[UUID], actor: Person, now: datetime) -> tuple[SigningLink, str]:
    """Return a new link's row and its token, which is told this once and never kept.

    NotAllowed `role_not_allowed`; NotFound `defect_unknown`; Conflict `defect_not_open`.
    """
    if MAKES_LINKS.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="make_signing_link", roles=sorted(MAKES_LINKS))
    units = Defect.objects.filter(pk__in=defects).values_list("unit_id", flat=True)
    with unit_of_work(sorted(set(units)), actor=actor, now=now) as work:
        named = list(Defect.objects.filter(pk__in=defects).order_by("number"))
        if len(named) != len(set(defects)):
            raise NotFound("defect_unknown")
        for defect in named:
            if defect.state not in OPEN_DEFECT_STATES:
                raise Conflict(
                    "defect_not_open", defect=defect.number, faults=faults_named([defect]), state=defect.state
                )
        link, token = _new(actor, now)
        link.defects.set(named)
        for defect in named:
            work.record(
                defect.unit_id,
                "signing_link_made",
                subject=link.pk,
                body={"defect": defect.number, "fault": names_of_defect(defect), "expires_at": link.expires_at},
            )
        return link, token


def create_link_for_look(*, refusal_id: UUID, actor: Person, now: datetime) -> tuple[SigningLink, str]:
    """The same for the second look that a refusal waits for.

    NotFound `refusal_unknown`; those of the table; NotAllowed `second_person_looks` for whoever refused.
    """
    unit = or_not_found(
        Refusal.objects.filter(pk=refusal_id).values_list("unit_id", flat=True).first(), "refusal_unknown"
    )
    with unit_of_work([unit], actor=actor, now=now) as work:
        refusal = Refusal.objects.select_related("second_look").get(pk=refusal_id)
        REFUSALS.resolve("second_look", refusal_state(refusal), actor.current_roles, {"found"})
        if actor.pk == refusal.person_id:
            raise NotAllowed("second_person_looks")
        link, token = _new(actor, now, refusal)
        work.record(refusal.unit_id, "look_link_made", subject=link.pk, body={"expires_at": link.expires_at})
        return link, token


@transaction.atomic
def revoke_link(*, link_id: UUID, actor: Person, now: datetime) -> SigningLink:
    """End a link at once: one's own, or anybody's for a foreman. NotFound `link_unknown`; Conflict `link_used`."""
    link = lock_row(links_visible_to(actor), link_id, "link_unknown")
    if link.used_at is not None:
        raise Conflict("link_used")
    link.revoked_at = link.revoked_at or now
    link.save(update_fields=["revoked_at"])
    return link


def open_link(*, token: str, address: str, now: datetime) -> SigningLink:
    """Return the link of a token, whose `made_by` carries the present roles.

    NotFound `link_unknown`, the same for a token that is unknown, used, revoked or over, and for one whose maker may
    make none any more. One that never was is a guess, counted by its address: TooOften `sign_in_too_often`. A firm that
    opens its link again once it has signed has guessed nothing. A right token, which nobody can guess, is held up by
    nothing that others did at its address. Call it outside any transaction.
    """
    key = link_token_hash(token)
    link = None if key is None else link_in_force(key, now=now)
    if link is None or MAKES_LINKS.isdisjoint(link.made_by.current_roles):
        log_event("signing_link_refused", "", address=address)
        if key is None or not SigningLink.objects.filter(token_hash=key).exists():
            count_guess(address=address, now=now)
        raise NotFound("link_unknown")
    return link


def use_link(link: SigningLink, *, now: datetime) -> None:
    """Use a link up under its row's lock, in the caller's transaction. NotFound `link_unknown` if it ended since."""
    fresh = SigningLink.objects.select_for_update(no_key=True).filter(pk=link.pk, used_at=None, revoked_at=None)
    if fresh.first() is None:
        raise NotFound("link_unknown")
    link.used_at = now
    link.save(update_fields=["used_at"])


def _new(actor: Person, now: datetime, refusal: Refusal | None = None) -> tuple[SigningLink, str]:
    token = LINK_PREFIX + secrets.token_urlsafe(TOKEN_BYTES)
    link = SigningLink.objects.create(
        token_hash=link_token_hash(token), made_by=actor, made_at=now, expires_at=now + LASTS, refusal=refusal
    )
    return link, token
