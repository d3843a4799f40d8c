"""Taking in one walk-around: everything it brings is stored in one transaction, or nothing is."""

import random
import time
from datetime import datetime
from functools import cache
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import UUIDField

from common.compiled import CompiledObjects, Given
from common.errors import Conflict, NotAllowed, NotFound, Unavailable
from defects.models import Walkaround
from defects.rules.walkarounds.body import Submission
from defects.rules.walkarounds.timing import time_of
from defects.selectors.walkarounds.receipts import Receipt, stored_receipt
from defects.services.walkarounds.intake import take_in
from defects.services.walkarounds.scene import UnitsMovedError
from fleet.models import Person
from fleet.services.units.couplings import LockSetChanged

ATTEMPTS = 4
"""How often a write is tried when units moved meanwhile or the database chose it to break a deadlock."""

RETRIED_STATES = ("40001", "40P01")
"""Serialization failure and deadlock detected (PostgreSQL, appendix A)."""


def submit_walkaround(*, walkaround_id: UUID, submission: Submission, actor: Person, now: datetime) -> Receipt:
    """Take in a signed walk-around under the name the phone gave it; sending it again gives the same receipt.

    Raises Conflict `walkaround_differs` for another body under its name, NotFound for another person's name,
    NotAllowed `signed_by_another`, Unavailable `busy` after repeated collisions.
    """
    signer = submission.signature.signer.casefold()
    if signer and signer not in {str(actor.pk), (actor.username or "").casefold()}:
        raise NotAllowed("signed_by_another")
    known = _known(walkaround_id, submission, actor, now)
    if known is not None:
        return known
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
            # The same phone sent it twice at once: the other request has stored it.
            known = _known(walkaround_id, submission, actor, now)
            if known is None:
                raise
            return known
    raise Unavailable("busy")


def _known(walkaround_id: UUID, submission: Submission, actor: Person, now: datetime) -> Receipt | None:
    """The receipt of what is stored under the name already, marked as replayed."""
    stored = next(iter(_stored().fetch(walkaround=walkaround_id)), None)
    if stored is None:
        return None
    if stored.person_id != actor.pk:
        raise NotFound("not_found")
    if stored.body_hash != submission.body_hash:
        raise Conflict("walkaround_differs")
    return stored_receipt(stored, now=now)


@cache
def _stored() -> CompiledObjects[Walkaround]:
    return CompiledObjects(Walkaround.objects.filter(pk=Given("walkaround", UUIDField())).order_by())


def _pause(attempt: int) -> None:
    time.sleep(random.uniform(0.005, 0.02) * (attempt + 1))  # noqa: S311  spreads colliding writers, hides nothing
