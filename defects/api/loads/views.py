"""Loads: the desk's records, and what drivers and dispatch say of them at the dock."""

from collections.abc import Callable
from typing import Any

from django.db.models import QuerySet
from rest_framework.response import Response

from common.api.views import expected_version, takes
from defects.api.loads.answers import LoadAnswer
from defects.api.loads.bodies import (
    BoxCheckBody,
    CancelLoadBody,
    DeliverBody,
    LoadBody,
    LoadChange,
    PutBody,
    SealBody,
    SealDecisionBody,
    TransloadBody,
)
from defects.api.loads.filters import LoadFilters
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
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin

MOVES = ("check_before_loading", "put_into_trailer", "transload", "compare_seal", "decide_seal", "deliver", "cancel")


class LoadViewSet(ListMixin, ReadMixin):
    """Loads, newest first.

    One is named by its number or key. What the dock says needs no If-Match: it is what happened.
    """

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": DISPATCH,
        "partial_update": LOADS.roles_for("edit"),
        **{move: LOADS.roles_for(move) for move in MOVES},
    }
    if_match = frozenset({"partial_update", "cancel", "decide_seal"})
    filterset_class = LoadFilters
    ordering = ("-recorded_at",)
    shows = LoadAnswer
    tag = "loads"

    def get_queryset(self) -> QuerySet[Load]:
        """Return all loads with what is shown of them."""
        return load_rows()

    def one(self, name: str) -> Load:
        """Return the load of a number or key."""
        return self.get_queryset().get(pk=load_key(name))

    def answer_of(self, row: Any) -> LoadAnswer:
        """Return a load with what the caller may do with it now."""
        return LoadAnswer.for_roles(row, self.caller_roles)

    @takes(LoadBody)
    def create(self, request: ServiceRequest, body: LoadBody) -> Response:
        """Record what is to be carried."""
        load = record_load(facts=body.changes(), actor=request.person, now=request.now)
        return self.created(load, f"{request.path}/{load.pk}")

    @takes(LoadChange)
    def partial_update(self, request: ServiceRequest, body: LoadChange, ref: str) -> Response:
        """Change what was ordered, as far as it is given, until the load is delivered."""
        return self._moved(edit_load, ref, version=expected_version(request), changes=body.changes())

    @takes(BoxCheckBody)
    def check_before_loading(self, request: ServiceRequest, body: BoxCheckBody, ref: str) -> Response:
        """Say that the trailer's box was checked before loading.

        What cannot be seen once it is sealed may rest on this check.
        """
        trailer = unit_in_body(body.trailer, "/trailer")
        return self._moved(check_before_loading, ref, trailer=trailer, checked_at=body.checked_at or request.now)

    @takes(PutBody)
    def put_into_trailer(self, request: ServiceRequest, body: PutBody, ref: str) -> Response:
        """Say that the load is in a trailer; refused for cold freight where a fault bars it."""
        trailer = unit_in_body(body.trailer, "/trailer")
        return self._moved(put_into_trailer, ref, trailer=trailer, loaded_at=body.loaded_at or request.now)

    @takes(TransloadBody)
    def transload(self, request: ServiceRequest, body: TransloadBody, ref: str) -> Response:
        """Say that the load was moved into another trailer; refused as putting it into that trailer is."""
        trailer = unit_in_body(body.trailer, "/trailer")
        return self._moved(transload, ref, trailer=trailer, transloaded_at=body.transloaded_at or request.now)

    @takes(SealBody)
    def compare_seal(self, request: ServiceRequest, body: SealBody, ref: str) -> Response:
        """Compare the seal on the doors with the papers.

        Another one is kept and told to dispatch, who decides; `seal_says` is for whoever read it.
        """
        return self._moved(compare_seal, ref, seal=body.seal, compared_at=body.compared_at or request.now)

    @takes(SealDecisionBody)
    def decide_seal(self, request: ServiceRequest, body: SealDecisionBody, ref: str) -> Response:
        """Decide over a seal that is not the one on the papers."""
        return self._moved(decide_seal, ref, version=expected_version(request), decision=body.decision)

    @takes(DeliverBody)
    def deliver(self, request: ServiceRequest, body: DeliverBody, ref: str) -> Response:
        """Say that the load is out of its trailer."""
        return self._moved(deliver_load, ref, delivered_at=body.delivered_at or request.now)

    @takes(CancelLoadBody)
    def cancel(self, request: ServiceRequest, body: CancelLoadBody, ref: str) -> Response:
        """Call a planned load off."""
        return self._moved(cancel_load, ref, version=expected_version(request), reason=body.reason)

    def _moved(self, move: Callable[..., Load], ref: str, **given: Any) -> Response:
        """Make a move and show the load as it is then."""
        request = service_request(self.request)
        load = move(load_id=load_key(ref), actor=request.person, now=request.now, **given)
        return self.shown(self.get_queryset().get(pk=load.pk))
