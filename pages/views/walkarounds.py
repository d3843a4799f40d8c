"""What became of a walk-around, in words."""

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from pages.calls import address
from pages.session import Caller, signed_in


@require_safe
@signed_in
def receipt(caller: Caller, key: UUID) -> HttpResponse:
    """The receipt: what was found and what follows, unit by unit, and who is notified."""
    found = caller.read(address("walkarounds", str(key)))
    return caller.page("receipt", {"receipt": found, "zone": caller.zone})
