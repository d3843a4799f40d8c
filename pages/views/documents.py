"""The documents of this combination, its driver and its carrier, to show to an officer."""

from uuid import UUID

from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from common.api.storing import NEVER
from pages.calls import address
from pages.session import Caller, problem_answer, signed_in

MOST = "100"


@require_safe
@signed_in
def documents(caller: Caller) -> HttpResponse:
    """List them: each unit's, my own, the carrier's; a scan is one press away."""
    if not caller.units:
        return HttpResponseRedirect(reverse("pages:combination"))
    of_units = caller.read("documents", {"unit": caller.units, "limit": MOST})["results"]
    own = caller.read("documents", {"person": caller.me["person"]["id"], "limit": MOST})["results"]
    carriers = caller.read("documents", {"carrier": "true", "limit": MOST})["results"]
    by_unit = [(unit, [row for row in of_units if _is_of(row, unit)]) for unit in caller.units]
    last = [(caller.me["person"]["name"], own), (caller.read("carrier")["name"], carriers)]
    return caller.page("documents", {"groups": [*by_unit, *last]})


@require_safe
@signed_in
def scan(caller: Caller, key: UUID) -> HttpResponse:
    """A document's scan, as the file that it is."""
    answer = caller.answer(address("documents", str(key), "file"))
    if not answer.succeeded:
        return problem_answer(caller.request, answer)
    headers = {"Cache-Control": NEVER, "Content-Disposition": "inline"}
    return HttpResponse(answer.content, content_type=answer.headers["Content-Type"], headers=headers)


def _is_of(document: dict[str, dict[str, str]], ref: str) -> bool:
    number, _, owner = ref.partition("@")
    return (document["unit"]["number"], document["unit"]["owner"]) == (number, owner)
