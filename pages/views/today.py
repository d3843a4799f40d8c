"""Today: the driver's combination, what is known against it, what is left to do, and who is notified."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from pages.combination import combinations_of
from pages.session import Caller, signed_in


@require_safe
@signed_in
def today(caller: Caller) -> HttpResponse:
    """Show the units in hand, and what became of the last walk-around."""
    units = caller.units
    shown = {"combinations": combinations_of(caller, units) if units else [], "last": caller.last_walk}
    return caller.page("today", {**shown, "zone": caller.zone})
