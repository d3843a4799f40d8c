"""Confirming a repair firm: somebody's word, with how it was found out, so that a name alone frees no unit."""

from datetime import datetime

from django.db import transaction

from common.errors import NotAllowed
from defects.models import FirmConfirmation
from defects.transitions import CONFIRM_FIRM
from fleet.models import Person


@transaction.atomic
def confirm_firm(*, firm: str, how: str, brake_evidence: str, actor: Person, now: datetime) -> FirmConfirmation:
    """Say that a firm is what it says, how that is known, and who there keeps the evidence for brakes.

    It counts for what was signed by links of others than the actor. NotAllowed `role_not_allowed`.
    """
    if CONFIRM_FIRM.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="confirm_firm", roles=sorted(CONFIRM_FIRM))
    return FirmConfirmation.objects.create(
        firm=firm, how=how, brake_evidence=brake_evidence, confirmed_by=actor, confirmed_at=now
    )
