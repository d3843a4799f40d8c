"""Picking the combination in front of the driver: from the record, by number, or by the label on a unit."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from pages.calls import address
from pages.combination import combinations_of, ref_of, with_cooling_units
from pages.labels import squares_of
from pages.session import Caller, signed_in

PER_PAGE = "20"


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def combination(caller: Caller) -> HttpResponse:
    """List what is coupled on record, or what a number is coupled with; take what is pressed or typed."""
    if caller.request.method == "POST":
        return _take(caller)
    number = caller.request.GET.get("number", "").strip()
    return caller.page("pick", {"number": number, **_found(caller, number)})


@require_safe
@signed_in
def unit(caller: Caller, ref: str) -> HttpResponse:
    """What is known against a unit, where its label leads; take it as it is coupled, or behind my tractor."""
    found = caller.read(address("units", ref))
    named = ref_of(found)
    coupled = _units_of_couplings(caller.read("couplings", {"unit": named, "open": "true"}))
    offered = coupled or ([[named]] if found["kind"] != "cooling_unit" else [])
    mine = caller.units[:1] if found["kind"] == "trailer" else []
    shown = {"combinations": combinations_of(caller, [named]), "zone": caller.zone}
    return caller.page("unit", {"unit": found, "named": named, "offered": offered, "mine": mine, **shown})


@require_safe
@signed_in
def label(caller: Caller, ref: str) -> HttpResponse:
    """A label to print and stick on a unit: its number, and a code that opens its page."""
    found = caller.read(address("units", ref))
    place = caller.request.build_absolute_uri(reverse("pages:unit", args=[ref_of(found)]))
    return caller.page("label", {"unit": found, "place": place, "squares": squares_of(place)})


def _found(caller: Caller, number: str) -> dict[str, Any]:
    query = {"open": "true", "limit": PER_PAGE, **({"unit": number} if number else {})}
    after = caller.request.GET.get("cursor")
    answer = caller.answer("couplings", {**query, "cursor": after} if after else query)
    if answer.succeeded:
        return {"offered": _units_of_couplings(answer.body), "next": _cursor(answer.body["next"])}
    return {"offered": [], "problem": answer.body["errors"][0]["detail"]}


def _units_of_couplings(body: Any) -> list[list[str]]:
    return [[ref_of(unit) for unit in row["units"]] for row in body["results"]]


def _cursor(following: str | None) -> str:
    """Where the next page of a list begins; empty after the last."""
    return parse_qs(urlsplit(following).query)["cursor"][0] if following else ""


def _take(caller: Caller) -> HttpResponse:
    sent = caller.request.POST
    units = sent.getlist("units")
    if not units:
        given = {kind: sent.get(kind, "").strip() for kind in ("tractor", "trailer")}
        answers = {kind: caller.answer(address(f"{kind}s", ref)) for kind, ref in given.items() if ref}
        errors = {kind: answer.body["detail"] for kind, answer in answers.items() if not answer.succeeded}
        if not answers:
            errors = {"tractor": _("Type the number of a tractor or a trailer.")}
        if errors:
            return caller.page("pick", {"given": given, "errors": errors, **_found(caller, "")}, status=422)
        units = [ref_of(answer.body) for answer in answers.values()]
    caller.pick(with_cooling_units(caller, units))
    return HttpResponseRedirect(reverse("pages:today"))
