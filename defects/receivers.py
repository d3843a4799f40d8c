"""The only list of what defects does when others announce something. Receivers run inside the sender's transaction."""

from datetime import datetime
from typing import Any

from django.dispatch import receiver

from defects.selectors.catalogue import TIGHTENING, check_tightening
from fleet.models import Policy
from fleet.signals import policy_set


@receiver(policy_set, dispatch_uid="defects.refuse_bad_tightening")
def refuse_bad_tightening(sender: type[Policy], policy: Policy, now: datetime, **_: Any) -> None:  # noqa: ARG001 - a signal's signature
    """A carrier's own rules that cannot be applied are refused when they are decided, not when a report comes in."""
    if policy.key == TIGHTENING:
        check_tightening(policy.value)
