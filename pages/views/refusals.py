"""Refusing a unit, and the driver's own copy of it (49 USC 31105)."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from common.api.storing import NEVER
from pages.calls import address
from pages.forms import problems_of
from pages.session import Caller, signed_in
from pages.signing import name_problem, signed, to_sign

LONGEST_REASON = 2000
"""In letters, as the API describes it."""


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def refuse(caller: Caller) -> HttpResponse:
    """Take the unit, the reason and the name typed under it."""
    if not caller.units:
        return HttpResponseRedirect(reverse("pages:combination"))
    if caller.request.method != "POST":
        return _form(caller, {})
    sent = caller.request.POST
    given = {name: sent.get(name, "") for name in ("unit", "reason")}
    typed = {**given, "name": sent.get("name", ""), "act": sent.get("act", "")}
    wrong = {"name": name_problem(caller, sent), "reason": _reason_problem(given["reason"])}
    if any(wrong.values()):
        return _form(caller, {**typed, "errors": wrong}, status=422)
    answer = caller.send("POST", "refusals", {**signed(sent), **given})
    if answer.succeeded:
        return HttpResponseRedirect(reverse("pages:refusal", args=[answer.body["id"]]))
    return _form(caller, {**typed, **problems_of(answer)}, status=answer.status)


@require_safe
@signed_in
def refusal(caller: Caller, key: UUID) -> HttpResponse:
    """My refusal, who is notified of it, and my copy."""
    return caller.page("refusal", {"refusal": caller.read(address("refusals", str(key))), "zone": caller.zone})


@require_safe
@signed_in
def copy(caller: Caller, key: UUID) -> HttpResponse:
    """The driver's own copy as a file to keep."""
    found = caller.read(address("refusals", str(key)))
    headers = {"Cache-Control": NEVER, "Content-Disposition": f'attachment; filename="{key}.txt"'}
    return HttpResponse(found["copy"], content_type="text/plain; charset=utf-8", headers=headers)


def _reason_problem(reason: str) -> str:
    """What is wrong with a reason. Longer than the record holds, it would be kept as signed but not be shown."""
    if not reason.strip():
        return _("Say what is wrong.")
    over = len(reason) - LONGEST_REASON
    return _("Shorten it by {letters} letters.").format(letters=over) if over > 0 else ""


def _form(caller: Caller, more: Mapping[str, Any], *, status: int = 200) -> HttpResponse:
    sentence = _("I refuse to drive this unit for the reason written above.")
    return caller.page("refuse", {"units": caller.units, **to_sign(sentence), **more}, status=status)
