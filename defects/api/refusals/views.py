"""Refusing a unit, the second look, and reading refusals with one's own copy."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.parsers import FieldJSONParser
from common.errors import NotFound
from defects.api.defects.words import Body, person_body, unit_body
from defects.api.field_acts import field_act
from defects.api.readers import READERS
from defects.api.refusals.filters import RefusalFilters
from defects.api.refusals.serializers import RefusalBody, RefusalOut, SecondLookBody
from defects.enums import RefusalState
from defects.models import Refusal
from defects.selectors.defects.defects import defects_of_unit
from defects.selectors.refusals import may_see_copy, refusal_state, refusals_visible_to, told_of
from defects.services.refusals.refusals import look_again, refuse_unit
from defects.transitions import REFUSALS, REFUSE
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.models import Person


class RefusalViewSet(ServiceViewSet):
    """A driver's own refusals; all of them for the shop and those who keep the record."""

    roles = {"list": READERS, "retrieve": READERS, "create": REFUSE}
    problem_statuses = {"create": frozenset({404})}
    parser_classes = (FieldJSONParser,)
    idempotency = "none"
    queryset = Refusal.objects.none()
    filterset_class = RefusalFilters
    serializer_class = RefusalOut
    ordering = ("-refused_at",)

    @extend_schema(operation_id="refusals_list", summary="Refusals, newest first", responses=RefusalOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One page of the refusals that the person may see."""
        page = self.paginate_queryset(self.filter_queryset(refusals_visible_to(request.person))) or []
        told = told_of(page)
        return self.paged(page, lambda refusal: refusal_body(refusal, request.person, told))

    @extend_schema(operation_id="refusals_read", summary="One refusal; your own copy with it", responses=RefusalOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """The refusal, whether a second person has looked, and the driver's copy for the driver."""
        return Response(_body(key, request.person))

    @extend_schema(
        operation_id="refusals_sign", summary="Refuse a unit", request=RefusalBody, responses={201: RefusalOut}
    )
    def create(self, request: ServiceRequest) -> Response:
        """The signed refusal with its copy; the unit is offered to nobody until a second person has looked.

        201 again with the same refusal when it is sent again. Kept as a walk-around is, whatever differs from this
        description, defects that are none of the unit's included; only `id`, a unit on record and the signature must
        be there.
        """
        act = field_act(RefusalBody, request)
        unit = unit_in_body(act.given.get("unit", ""), "/unit").pk
        defects, others = defects_of_unit(act.given.get("defects", ()), unit)
        refuse_unit(
            refusal_id=act.name,
            unit_id=unit,
            reason=act.given.get("reason", ""),
            defects=defects,
            signing=act.signing,
            actor=request.person,
            now=request.now,
            sent=act.queried([{"code": "defect_not_of_unit", "facts": {"defect": ref}} for ref in others]),
        )
        answer = _body(act.name, request.person)
        headers = {"Location": f"/api/v1/refusals/{act.name}"}
        return Response(answer, status=HTTPStatus.CREATED, headers=headers)


class SecondLookView(ServiceView):
    """The look by a second qualified person."""

    roles = {"post": REFUSALS.roles_for("second_look")}
    tag = "refusals"

    @extend_schema(
        operation_id="refusals_second_look",
        summary="Record what a second qualified person found",
        request=SecondLookBody,
        responses={201: RefusalOut},
    )
    def post(self, request: ServiceRequest, key: UUID) -> Response:
        """The refusal with the second look on it."""
        body = parsed(SecondLookBody, request)
        look_again(
            refusal_id=key,
            finding=body.validated_data["finding"],
            looked_at=body.validated_data["looked_at"],
            actor=request.person,
            now=request.now,
        )
        return Response(_body(key, request.person), status=HTTPStatus.CREATED)


def refusal_body(refusal: Refusal, person: Person, told: Mapping[UUID, Sequence[str]]) -> Body:
    """A refusal for a person, the driver's copy only for whoever may read it."""
    state = refusal_state(refusal)
    look = None
    if state != RefusalState.WAITING:
        second = refusal.second_look
        look = {"person": person_body(second.person), "finding": second.finding, "looked_at": second.looked_at}
    return {
        "id": refusal.pk,
        "unit": unit_body(refusal.unit),
        "state": state,
        "person": person_body(refusal.person),
        "reason": refusal.reason,
        "defects": sorted(defect.number for defect in refusal.defects.all()),
        "refused_at": refusal.refused_at,
        "received_at": refusal.received_at,
        "copy": refusal.copy if may_see_copy(refusal, person) else "",
        "copy_sha256": refusal.copy_hash,
        "second_look": look,
        "told": told.get(refusal.pk, []),
        "allowed_actions": REFUSALS.allowed_actions(state, person.current_roles),
    }


def _body(key: UUID, person: Person) -> Body:
    refusal = refusals_visible_to(person).filter(pk=key).first()
    if refusal is None:
        raise NotFound("refusal_unknown")
    return refusal_body(refusal, person, told_of([refusal]))
