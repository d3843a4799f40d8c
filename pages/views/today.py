"""Today: the driver's combination, what is known against it, what is left to do, and who is notified."""

from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from pages.calls import address
from pages.combination import combinations_of
from pages.session import Caller, signed_in


@require_safe
@signed_in
def today(caller: Caller) -> HttpResponse:
    """Show the units picked on this device, else those of the last walk-around."""
    last = _last_walk(caller)
    units = caller.units or [unit["unit"] for unit in (last or {}).get("units", ()) if unit["known"]]
    shown = {"combinations": combinations_of(caller, units) if units else [], "last": last}
    return caller.page("today", {**shown, "zone": caller.zone})


def _last_walk(caller: Caller) -> Any:
    """The receipt of the person's last walk-around; None where there is none, or reports are not theirs to read."""
    reports = caller.answer("reports", {"person": "me", "limit": "1"})
    newest = reports.body["results"] if reports.succeeded else []
    return caller.read(address("walkarounds", newest[0]["walkaround"])) if newest else None
