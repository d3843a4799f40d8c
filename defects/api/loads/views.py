"""Loads: the desk's records, and what drivers and dispatch say of them at the dock."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from defects.api.loads.filters import LoadFilters
from defects.api.loads.serializers import (
    BoxCheckBody,
    CancelLoadBody,
    DeliverBody,
    LoadBody,
    LoadOut,
    PutBody,
    SealBody,
    SealDecisionBody,
    TransloadBody,
)
from defects.api.readers import READERS
from defects.models import Load
from defects.selectors.loads.loads import load_key, load_rows
from defects.services.loads.loading import (
    check_before_loading,
    compare_seal,
    decide_seal,
    deliver_load,
    put_into_trailer,
    transload,
)
from defects.services.loads.loads import cancel_load, edit_load, record_load
from defects.transitions import DISPATCH, LOADS
from fleet.api.base import ServiceViewSet
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest

MOVES = ("check_before_loading", "put_into_trailer", "transload", "compare_seal", "decide_seal", "deliver", "cancel")


class LoadViewSet(ServiceViewSet):
    """Loads, newest first; one by its number or key. What the dock says needs no If-Match: it is what happened."""

    roles = {
        "list": READERS,
        "retrieve": READERS,
        "create": DISPATCH,
        "partial_update": LOADS.roles_for("edit"),
        **{move: LOADS.roles_for(move) for move in MOVES},
    }
    if_match = frozenset({"partial_update", "cancel", "decide_seal"})
    filterset_class = LoadFilters
    ordering = ("-recorded_at",)
    output = LoadOut
    tag = "loads"

    def get_queryset(self) -> QuerySet[Load]:
        """Return all loads with what is shown of them."""
        return load_rows()

    @extend_schema(operation_id="loads_list", responses=LoadOut(many=True), summary="Loads, newest first")
    def list(self, request: ServiceRequest) -> Response:
        """One page of the loads asked for."""
        return self.listed()

    @extend_schema(operation_id="loads_read", responses=LoadOut, summary="One load")
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One load, by number or key."""
        return self._fresh(load_key(ref))

    @extend_schema(
        operation_id="loads_record", request=LoadBody, responses={201: LoadOut}, summary="Record what is to be carried"
    )
    def create(self, request: ServiceRequest) -> Response:
        """The load, planned."""
        load = record_load(facts=parsed(LoadBody, request).validated_data, actor=request.person, now=request.now)
        return self.created(load, f"{request.path}/{load.pk}")

    @extend_schema(operation_id="loads_edit", request=LoadBody, responses=LoadOut, summary="Change what was ordered")
    def partial_update(self, request: ServiceRequest, ref: str) -> Response:
        """Change what is given, until the load is delivered."""
        changes = parsed(LoadBody, request, partial=True).validated_data
        load = edit_load(**self._named(request, ref), version=expected_version(request), changes=changes)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_check_before_loading",
        request=BoxCheckBody,
        responses=LoadOut,
        summary="Say that the trailer's box was checked before loading",
    )
    def check_before_loading(self, request: ServiceRequest, ref: str) -> Response:
        """What cannot be seen once it is sealed may rest on this check."""
        body = parsed(BoxCheckBody, request).validated_data
        trailer = unit_in_body(body["trailer"], "/trailer")
        at = body.get("checked_at", request.now)
        load = check_before_loading(**self._named(request, ref), trailer=trailer, checked_at=at)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_put_into_trailer",
        request=PutBody,
        responses=LoadOut,
        summary="Say that the load is in a trailer",
    )
    def put_into_trailer(self, request: ServiceRequest, ref: str) -> Response:
        """Refused for cold freight where a fault bars it."""
        body = parsed(PutBody, request).validated_data
        trailer = unit_in_body(body["trailer"], "/trailer")
        at = body.get("loaded_at", request.now)
        load = put_into_trailer(**self._named(request, ref), trailer=trailer, loaded_at=at)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_transload",
        request=TransloadBody,
        responses=LoadOut,
        summary="Say that the load was moved into another trailer",
    )
    def transload(self, request: ServiceRequest, ref: str) -> Response:
        """Refused as putting it into that trailer is."""
        body = parsed(TransloadBody, request).validated_data
        trailer = unit_in_body(body["trailer"], "/trailer")
        at = body.get("transloaded_at", request.now)
        load = transload(**self._named(request, ref), trailer=trailer, transloaded_at=at)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_compare_seal",
        request=SealBody,
        responses=LoadOut,
        summary="Compare the seal on the doors with the papers",
    )
    def compare_seal(self, request: ServiceRequest, ref: str) -> Response:
        """Another one is kept and told to dispatch, who decides; `seal_says` is for whoever read it."""
        body = parsed(SealBody, request).validated_data
        at = body.get("compared_at", request.now)
        load = compare_seal(**self._named(request, ref), seal=body["seal"], compared_at=at)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_decide_seal",
        request=SealDecisionBody,
        responses=LoadOut,
        summary="Decide over a seal that is not the one on the papers",
    )
    def decide_seal(self, request: ServiceRequest, ref: str) -> Response:
        """The load, with what was decided."""
        decision = parsed(SealDecisionBody, request).validated_data["decision"]
        load = decide_seal(**self._named(request, ref), version=expected_version(request), decision=decision)
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_deliver",
        request=DeliverBody,
        responses=LoadOut,
        summary="Say that the load is out of its trailer",
    )
    def deliver(self, request: ServiceRequest, ref: str) -> Response:
        """The load, delivered."""
        body = parsed(DeliverBody, request).validated_data
        load = deliver_load(**self._named(request, ref), delivered_at=body.get("delivered_at", request.now))
        return self._fresh(load.pk)

    @extend_schema(
        operation_id="loads_cancel", request=CancelLoadBody, responses=LoadOut, summary="Call a planned load off"
    )
    def cancel(self, request: ServiceRequest, ref: str) -> Response:
        """The load, cancelled."""
        reason = parsed(CancelLoadBody, request).validated_data["reason"]
        load = cancel_load(**self._named(request, ref), version=expected_version(request), reason=reason)
        return self._fresh(load.pk)

    def _named(self, request: ServiceRequest, ref: str) -> dict[str, Any]:
        """What every service is told: which load, who and when."""
        return {"load_id": load_key(ref), "actor": request.person, "now": request.now}

    def _fresh(self, key: UUID) -> Response:
        return self.shown(self.get_queryset().get(pk=key))
