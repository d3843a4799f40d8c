"""Reading the last reports and certificates of all units, and signing for them in one act (49 CFR 396.13)."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from pages.calls import address
from pages.forms import problems_of
from pages.session import Caller, signed_in
from pages.signing import name_problem, signed, to_sign

IN_FULL = 6
"""How many reports are shown whole; what is beyond is a press away, so that no page grows without end."""


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def review(caller: Caller) -> HttpResponse:
    """Show what is due on my combination, whole; sign for exactly what was shown."""
    if not caller.units:
        return HttpResponseRedirect(reverse("pages:combination"))
    if caller.request.method != "POST":
        return _shown(caller, {})
    sent = caller.request.POST
    wrong = name_problem(caller, sent)
    if wrong:
        return _shown(caller, {"errors": {"name": wrong}, "name": sent.get("name", "")}, status=422)
    named = {name: sent.getlist(name) for name in ("units", "reports", "certificates")}
    answer = caller.send("POST", "driver-reviews", {**signed(sent), **named})
    if answer.succeeded:
        return HttpResponseRedirect(reverse("pages:today"))
    return _shown(caller, {**problems_of(answer), "name": sent.get("name", "")}, status=answer.status)


@require_safe
@signed_in
def report(caller: Caller, key: UUID) -> HttpResponse:
    """One report, whole."""
    found = caller.read(address("reports", str(key)))
    return caller.page("report", {"report": found, "zone": caller.zone})


def _shown(caller: Caller, more: Mapping[str, Any], *, status: int = 200) -> HttpResponse:
    due = caller.read("driver-reviews/pending", {"unit": caller.units})["units"]
    reports = [report for unit in due for report in unit["reports"]]
    whole = {row["id"]: caller.read(address("reports", row["id"])) for row in reports[:IN_FULL]}
    certificates = [certificate for unit in due for certificate in unit["certificates"]]
    may_sign = bool(reports or certificates) and not any(unit["missing"] for unit in due)
    sentence = _("I have read these reports and certificates.")
    shown = {
        "due": due,
        "whole": whole,
        "zone": caller.zone,
        "may_sign": may_sign,
        "sending": {
            "units": caller.units,
            "reports": [row["id"] for row in reports],
            "certificates": [row["id"] for row in certificates],
        },
        **to_sign(sentence),
    }
    return caller.page("review", {**shown, **more}, status=status)
