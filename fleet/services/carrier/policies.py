"""The carrier's decisions, as dated rows that are never edited: a new one takes over from its instant on."""

from datetime import datetime

from django.db import transaction

from common.errors import Invalid, NotAllowed
from fleet.models import Person, Policy, Site
from fleet.rules.carrier.policies import POLICIES, PolicyRefused, check_policy
from fleet.selectors.carrier.carrier import carriers_day
from fleet.signals import policy_set


@transaction.atomic
def set_policy(
    *,
    key: str,
    value: object,
    valid_from: datetime | None,
    reason: str,
    actor: Person,
    now: datetime,
    from_console: bool = False,
) -> Policy:
    """Decide something from an instant on, at once when none is given; announced as `policy_set`.

    Invalid `policy_key_unknown` at `/key`, `policy_backdated`, and at `/value` the codes of
    `rules.carrier.policies` or of whoever reads the value. NotAllowed `policy_decides_for_oneself` for one that would
    do away with a second person, decided by whoever that person would look at; `from_console` allows and flags it.
    """
    try:
        check_policy(key, value)
    except PolicyRefused as refused:
        place = "/key" if refused.code == "policy_key_unknown" else "/value"
        raise Invalid(refused.code, pointer=place, key=key) from refused
    _, _, site = key.partition(":")
    if site and not Site.objects.filter(code=site).exists():
        raise Invalid("policy_key_unknown", pointer="/key", key=key)
    if value is True and not from_console and _holds(actor, POLICIES[key.partition(":")[0]].not_by, now):
        raise NotAllowed("policy_decides_for_oneself", key=key)
    start = valid_from or now
    if start < now:
        raise Invalid("policy_backdated", pointer="/valid_from")
    policy = Policy.objects.create(
        key=key, value=value, valid_from=start, reason=reason, set_by=actor, recorded_at=now, from_console=from_console
    )
    policy_set.send(Policy, policy=policy, now=now)
    return policy


def _holds(person: Person, role: str, now: datetime) -> bool:
    """Whether the person holds the role now or will; empty for a policy that anybody of the office may decide."""
    return bool(role) and person.roles.filter(role=role).exclude(ends_on__lt=carriers_day(now)).exists()
