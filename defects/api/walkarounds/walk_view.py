"""GET of the walk over one combination: what to look at, where, within which limits, and what is known there."""

import re
from collections.abc import Mapping

from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response, patch_vary_headers
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.canonical import sha256_hex
from common.errors import FieldProblem, Unreadable
from common.release import RELEASE
from defects.api.walkarounds.walk import WalkAnswer, walk_answer
from defects.enums import Form
from defects.selectors.defects.naming import language_of
from defects.selectors.walkarounds.walk import walk_context, walk_units
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import UnitKind
from fleet.models import Unit

AXLES = {"tractor_axles": UnitKind.TRACTOR, "trailer_axles": UnitKind.TRAILER}
AXLE_COUNTS = [str(count) for count in range(1, 10)]
NAMED = {"tractor": UnitKind.TRACTOR, "trailer": UnitKind.TRAILER}
RETAINED_UNTIL = re.compile(r'-([0-9]{1,12})"')
"""What the tags of a walk end with: a phone that sends one back says until when it was made for."""


@method_decorator(gzip_page, name="dispatch")
class WalkView(ServiceView):
    """The walk over a tractor, a trailer and the cooling unit mounted on it."""

    roles = {"get": ANY_ROLE}
    query_parameters = {"get": frozenset({*NAMED, *AXLES, "form", "coupled"})}

    @extend_schema(
        summary="The walk over one combination, in walking order",
        responses=WalkAnswer,
        parameters=[
            *(OpenApiParameter(name, description="Number, number@owner, or key.") for name in NAMED),
            OpenApiParameter(
                "coupled", bool, description="Whether the units run coupled; without it, a tractor with a trailer do."
            ),
            *(
                OpenApiParameter(name, int, description=f"How many axles a {kind} has for which none are recorded.")
                for name, kind in AXLES.items()
            ),
            OpenApiParameter(
                "form",
                enum=[str(form) for form in Form],
                default=str(Form.DAILY),
                description="What is asked: `full` is for once a week and at service, `sealed` for a load under seal.",
            ),
        ],
    )
    def get(self, request: ServiceRequest) -> HttpResponseBase:
        """Every stop with its places; a unit's cooling unit comes by itself.

        The ETag is made of what one statement reads, so that a phone that has the walk already costs no more; weak
        where the walk was compressed, it is answered alike.
        """
        given = request.query_params.get("form", Form.DAILY)
        if given not in tuple(Form):
            raise _refused("invalid_choice", "form", allowed=[str(known) for known in Form])
        form = Form(given)
        refs = {name: ref for name in NAMED if (ref := request.query_params.get(name))}
        if not refs:
            raise Unreadable("walk_needs_units")
        counted = _counted_axles(request)
        walk = walk_units(list(refs.values()), now=request.now)
        _refuse_others(dict(zip(refs, walk.named, strict=True)))
        coupled = _coupled(request, both=len(refs) == len(NAMED))
        language = language_of(request.person.language)
        person = sorted(request.person.current_roles), sorted(request.person.scopes_on(walk.today))
        state = (RELEASE, form, language, coupled, sorted(counted.items()), walk.state, person)
        for until in RETAINED_UNTIL.findall(request.headers.get("If-None-Match", "")):
            kept = _etag(state, until)
            unchanged = get_conditional_response(request, etag=kept) if request.now.timestamp() < int(until) else None
            if unchanged is not None:
                unchanged.headers["ETag"] = kept
                patch_vary_headers(unchanged, ("Accept-Encoding",))
                return unchanged
        context = walk_context(walk, person=request.person, now=request.now, coupled=coupled, counted_axles=counted)
        etag = _etag(state, str(int(context.until.timestamp())))
        return Response(walk_answer(context, form, language).sparse(), headers={"ETag": etag})


def _etag(state: tuple[object, ...], until: str) -> str:
    """The hash of all that the answer is made of, and the second at which time alone changes it."""
    return f'"{sha256_hex(repr((state, until)))}-{until}"'


def _refuse_others(named: Mapping[str, Unit | None]) -> None:
    """Refuse what names no unit, or one of another kind."""
    for name, unit in named.items():
        if unit is None:
            raise _refused("unit_unknown", name)
        if unit.kind != NAMED[name]:
            raise _refused("not_of_this_kind", name)


def _coupled(request: ServiceRequest, *, both: bool) -> bool:
    """Whether the units run coupled: where nothing is said, a tractor with a trailer do."""
    given = request.query_params.get("coupled", str(both).lower())
    if given not in {"true", "false"}:
        raise _refused("invalid_choice", "coupled", allowed=["true", "false"])
    return given == "true"


def _counted_axles(request: ServiceRequest) -> dict[str, int]:
    """How many axles a driver counted, by the kind of unit."""
    counted = {}
    for name, kind in AXLES.items():
        given = request.query_params.get(name)
        if given is not None and given not in AXLE_COUNTS:
            raise _refused("invalid_choice", name, allowed=AXLE_COUNTS)
        if given is not None:
            counted[str(kind)] = int(given)
    return counted


def _refused(code: str, parameter: str, **facts: object) -> Unreadable:
    return Unreadable("invalid_parameter", problems=[FieldProblem("", code, facts, parameter)])
