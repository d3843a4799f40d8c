"""Yards, docks and shops of the carrier: adding, editing and closing one."""

import re
from collections.abc import Mapping
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import transaction

from common.clock import refuse_future_day
from common.errors import Invalid
from fleet.models import Carrier, Person, Site
from fleet.selectors.carrier.carrier import site_state
from fleet.services.records.edits import edit_row, lock_row, log_change
from fleet.transitions import SITE

USDOT = re.compile(r"[0-9]{1,12}")
CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")
"""What stands in an address and behind the colon of a policy's key."""


@transaction.atomic
def create_site(*, facts: Mapping[str, object], actor: Person) -> Site:
    """Add a site with columns of `Site`; its code is unique. Invalid `time_zone_unknown`, `site_code_malformed`."""
    refuse_unknown_zone(facts)
    _refuse_malformed_code(facts)
    site = Site.objects.create(**facts)
    log_change(site, "added", actor, facts)
    return site


@transaction.atomic
def edit_site(*, site_id: UUID, version: int | None, changes: Mapping[str, object], actor: Person) -> Site:
    """Change what is given. NotFound `site_unknown`, Conflict `action_not_allowed`, Invalid as above."""
    refuse_unknown_zone(changes)
    _refuse_malformed_code(changes)
    site = lock_row(Site.objects.all(), site_id, "site_unknown")
    SITE.resolve("edit", site_state(site), actor.current_roles)
    return edit_row(site, version, changes, actor)


@transaction.atomic
def close_site(*, site_id: UUID, version: int | None, closed_on: date, today: date, actor: Person) -> Site:
    """Close a site for good; what happened there stays. NotFound `site_unknown`, Conflict `action_not_allowed`."""
    site = lock_row(Site.objects.all(), site_id, "site_unknown")
    SITE.resolve("close", site_state(site), actor.current_roles, {"closed_on": closed_on})
    refuse_future_day(closed_on, today, "/closed_on")
    return edit_row(site, version, {"closed_on": closed_on}, actor)


@transaction.atomic
def edit_carrier(*, version: int | None, changes: Mapping[str, object], actor: Person) -> Carrier:
    """Change what is given of the one carrier.

    NotFound `carrier_missing`, Invalid `time_zone_unknown`, `usdot_not_digits`.
    """
    refuse_unknown_zone(changes)
    refuse_malformed_usdot(changes)
    key = Carrier.objects.values_list("pk", flat=True).first()
    carrier = lock_row(Carrier.objects.all(), key or UUID(int=0), "carrier_missing")
    return edit_row(carrier, version, changes, actor)


def refuse_unknown_zone(facts: Mapping[str, object]) -> None:
    """Invalid `time_zone_unknown` where a zone is given that there is not."""
    if "time_zone" not in facts:
        return
    try:
        ZoneInfo(str(facts["time_zone"]))
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Invalid("time_zone_unknown", pointer="/time_zone") from error


def refuse_malformed_usdot(facts: Mapping[str, object]) -> None:
    """Invalid `usdot_not_digits` where a USDOT number is given that is none."""
    if "usdot_number" in facts and not USDOT.fullmatch(str(facts["usdot_number"])):
        raise Invalid("usdot_not_digits", pointer="/usdot_number")


def _refuse_malformed_code(facts: Mapping[str, object]) -> None:
    if "code" in facts and not CODE.fullmatch(str(facts["code"])):
        raise Invalid("site_code_malformed", pointer="/code")
