"""The carrier's decisions, as dated rows that are never edited: a new one takes over from its instant on."""

from datetime import datetime

from django.db import transaction

from common.errors import Invalid
from fleet.models import Person, Policy, Site
from fleet.rules.policies import PolicyRefused, check_policy
from fleet.signals import policy_set


@transaction.atomic
def set_policy(
    *, key: str, value: object, valid_from: datetime | None, reason: str, actor: Person, now: datetime
) -> Policy:
    """Decide something from an instant on, at once when none is given; announced as `policy_set`.

    Invalid `policy_key_unknown` at `/key`, `policy_backdated`, and at `/value` the codes of
    `fleet.rules.policies` or of whoever reads the value.
    """
    try:
        check_policy(key, value)
    except PolicyRefused as refused:
        place = "/key" if refused.code == "policy_key_unknown" else "/value"
        raise Invalid(refused.code, pointer=place, key=key) from refused
    _, _, site = key.partition(":")
    if site and not Site.objects.filter(code=site).exists():
        raise Invalid("policy_key_unknown", pointer="/key", key=key)
    start = valid_from or now
    if start < now:
        raise Invalid("policy_backdated", pointer="/valid_from")
    policy = Policy.objects.create(key=key, value=value, valid_from=start, reason=reason, set_by=actor, recorded_at=now)
    policy_set.send(Policy, policy=policy, now=now)
    return policy
