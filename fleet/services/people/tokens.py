"""Device tokens after sign-in: renewing one by use, and ending one. Making one is in `sign_in`."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import NotFound
from common.security import tell
from fleet.enums import Role
from fleet.models import DeviceToken, Person
from fleet.rules.people.tokens import renewed_until


def renew_token(*, token: DeviceToken, now: datetime) -> None:
    """Let a token that is used last longer; written at most once a day, and never past its end."""
    today = now.date()
    if token.renewed_on >= today:
        return
    token.renewed_on, token.expires_at = today, renewed_until(now, token.ends_at)
    token.save(update_fields=["renewed_on", "expires_at"])


@transaction.atomic
def revoke_token(*, token_id: UUID, actor: Person, now: datetime) -> DeviceToken:
    """End one token at once: one's own, or anybody's for an administrator; NotFound `token_unknown` otherwise."""
    tokens = DeviceToken.objects.select_for_update(no_key=True, of=("self",)).filter(revoked_at__isnull=True)
    if Role.ADMINISTRATOR not in actor.current_roles:
        tokens = tokens.filter(person=actor)
    token = tokens.select_related("person").filter(pk=token_id).first()
    if token is None:
        raise NotFound("token_unknown")
    token.revoked_at = now
    token.save(update_fields=["revoked_at"])
    tell("device_signed_out", token.person.log_name, actor=actor.log_name, device=token.device)
    return token
