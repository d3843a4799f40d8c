"""GET of the walk over one combination: what to look at, where, within which limits, and what is known there."""

from collections.abc import Set as AbstractSet

from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.canonical import sha256_hex
from common.errors import FieldProblem, Unreadable
from common.release import RELEASE
from defects.api.walkarounds.walk import WalkAnswer, walk_answer
from defects.enums import CATALOGUE_WALKS, WalkaroundKind
from defects.rules.catalogue.closed_sets import Language
from defects.selectors.catalogue.unit_facts import DETAILS
from defects.selectors.defects.naming import language_of
from defects.selectors.walkarounds.walk import WalkGround, walk_ground
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.selectors.units.lookup import resolve_units

NAMED = {"tractor": UnitKind.TRACTOR, "trailer": UnitKind.TRAILER}


class WalkView(ServiceView):
    """The walk over a tractor, a trailer and the cooling unit mounted on it."""

    roles = {"get": ANY_ROLE}
    query_parameters = {"get": frozenset({*NAMED, "kind", "coupled"})}

    @extend_schema(
        operation_id="walk_read",
        summary="The walk over one combination, in walking order",
        responses=WalkAnswer,
        parameters=[
            *(OpenApiParameter(name, description="Number, number@owner, or key.") for name in NAMED),
            OpenApiParameter(
                "coupled", bool, description="Whether the units run coupled; without it, a tractor with a trailer do."
            ),
            OpenApiParameter(
                "kind", enum=[str(kind) for kind in CATALOGUE_WALKS], default=str(WalkaroundKind.PRE_TRIP)
            ),
        ],
    )
    def get(self, request: ServiceRequest) -> HttpResponseBase:
        """Every stop with its places; a unit's cooling unit comes by itself.

        The ETag is made of what the walk is laid out from, so that a phone that has it already costs no laying out.
        """
        kind = request.query_params.get("kind", str(WalkaroundKind.PRE_TRIP))
        if kind not in CATALOGUE_WALKS:
            raise _refused("invalid_choice", "kind", allowed=[str(known) for known in CATALOGUE_WALKS])
        named = _named(request)
        ground = walk_ground(named, person=request.person, now=request.now, coupled=_coupled(request))
        language = language_of(request.person.language)
        etag = _etag(ground, kind, language, request.person.current_roles)
        unchanged = get_conditional_response(request, etag=etag)
        if unchanged is not None:
            unchanged.headers["ETag"] = etag
            return unchanged
        return Response(walk_answer(ground, kind, language), headers={"ETag": etag})


def _etag(ground: WalkGround, kind: str, language: Language, roles: AbstractSet[str]) -> str:
    """All that the answer is made of, in a fixed order: defects by their versions, values with their ages."""
    made_of = (
        (RELEASE, ground.catalogue.content_hash, kind, language, ground.coupled, ground.today),
        sorted(roles),
        sorted(ground.scopes),
        [(unit.pk, unit.kind, unit.number, unit.owner, ground.facts[unit.pk]) for unit in ground.units],
        [(spot, value.pk, (ground.now - value.measured_at).days) for spot, value in sorted(ground.last.items())],
        [(spot, [(row.pk, row.version) for row in rows]) for spot, rows in sorted(ground.open_defects.items())],
        [(unit, sorted(faults)) for unit, faults in sorted(ground.one_by_one.items())],
    )
    return f'"{sha256_hex(repr(made_of))}"'


def _named(request: ServiceRequest) -> list[Unit]:
    given = {name: ref for name in NAMED if (ref := request.query_params.get(name))}
    if not given:
        raise Unreadable("walk_needs_units")
    found = resolve_units(given.values(), among=Unit.objects.select_related(*DETAILS))
    for name, ref in given.items():
        if ref not in found:
            raise _refused("unit_unknown", name)
        if found[ref].kind != NAMED[name]:
            raise _refused("not_of_this_kind", name)
    return [found[ref] for ref in given.values()]


def _coupled(request: ServiceRequest) -> bool | None:
    given = request.query_params.get("coupled")
    if given not in {None, "true", "false"}:
        raise _refused("invalid_choice", "coupled", allowed=["true", "false"])
    return None if given is None else given == "true"


def _refused(code: str, parameter: str, **facts: object) -> Unreadable:
    return Unreadable("invalid_parameter", problems=[FieldProblem("", code, facts, parameter)])
