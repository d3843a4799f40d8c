"""Renewing the token of a device that is in use. Making and ending one is `sign_in`."""

from datetime import datetime

from fleet.models import DeviceToken
from fleet.rules.people.tokens import renewed_until


def renew_token(*, token: DeviceToken, now: datetime) -> None:
    """Let a token that is used last longer; written at most once a day, and never past its end."""
    today = now.date()
    if token.renewed_on >= today:
        return
    token.renewed_on, token.expires_at = today, renewed_until(now, token.ends_at)
    token.save(update_fields=["renewed_on", "expires_at"])
