"""Loads at risk: reading them, writing them up, and signing what becomes of the food."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from defects.api.loads_at_risk.filters import LoadAtRiskFilters
from defects.api.loads_at_risk.serializers import DisposeBody, EntryBody, LoadAtRiskOut
from defects.api.readers import READERS
from defects.api.signatures import own_signing
from defects.enums import RiskEntryKind
from defects.models import LoadAtRisk
from defects.selectors.loads.loads_at_risk import load_at_risk, risk_rows
from defects.services.loads.loads_at_risk import Note, dispose, enter
from defects.transitions import LOADS_AT_RISK
from fleet.api.base import ServiceViewSet
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class LoadAtRiskViewSet(ServiceViewSet):
    """Loads at risk, newest first. Entries are facts of the road and need no If-Match; the disposition does."""

    roles = {
        "list": READERS,
        "retrieve": READERS,
        "enter": LOADS_AT_RISK.roles_for("add_reading", "add_call", "add_decision"),
        "dispose": LOADS_AT_RISK.roles_for("dispose"),
    }
    if_match = frozenset({"dispose"})
    filterset_class = LoadAtRiskFilters
    ordering = ("-opened_at",)
    output = LoadAtRiskOut
    tag = "loads-at-risk"

    def get_queryset(self) -> QuerySet[LoadAtRisk]:
        """Return all of them with what is shown of them."""
        return risk_rows()

    @extend_schema(
        operation_id="loads_at_risk_list", responses=LoadAtRiskOut(many=True), summary="Loads at risk, newest first"
    )
    def list(self, request: ServiceRequest) -> Response:
        """One page of those asked for."""
        return self.listed()

    @extend_schema(operation_id="loads_at_risk_read", responses=LoadAtRiskOut, summary="One load at risk")
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """The record with its readings, calls and decisions."""
        return self.shown(load_at_risk(key))

    @extend_schema(
        operation_id="loads_at_risk_enter",
        request=EntryBody,
        responses={201: LoadAtRiskOut},
        summary="Write down a reading, a call or a decision",
    )
    def enter(self, request: ServiceRequest, key: UUID) -> Response:
        """The record with the new entry."""
        given = {"at": request.now, **parsed(EntryBody, request).validated_data}
        note = Note(**{**given, "kind": RiskEntryKind(given["kind"])})
        enter(risk_id=key, note=note, actor=request.person, now=request.now)
        return self.created(load_at_risk(key), request.path.removesuffix("/entries"))

    @extend_schema(
        operation_id="loads_at_risk_dispose",
        request=DisposeBody,
        responses=LoadAtRiskOut,
        summary="Sign what becomes of the food",
    )
    def dispose(self, request: ServiceRequest, key: UUID) -> Response:
        """The record, closed."""
        body = parsed(DisposeBody, request).validated_data
        dispose(
            risk_id=key,
            version=expected_version(request),
            disposition=body["disposition"],
            signing=own_signing(body["signature"], request.person),
            actor=request.person,
            now=request.now,
        )
        return self.shown(load_at_risk(key))
