"""The base of the shop's views: what their answers are worded by, and the rule that drivers name a unit."""

from datetime import datetime
from typing import Any

from common.errors import FieldProblem, Unreadable
from defects.api.asking import asking
from defects.api.catalogues import catalogue_for
from fleet.api.base import ServiceViewSet
from fleet.api.requests import ServiceRequest, person_behind
from fleet.enums import Role

READERS = frozenset(
    {Role.AUDITOR, Role.COMPLIANCE, Role.DISPATCH, Role.DRIVER, Role.FOREMAN, Role.MECHANIC, Role.TRAINER}
)
FIELD = frozenset({Role.DRIVER, Role.TRAINER})


class ShopViewSet(ServiceViewSet):
    """A view of the shop; output serializers find the caller (`person`) and the `catalogue` in their context."""

    def get_serializer_context(self) -> dict[str, Any]:
        """Return what output serializers may look at."""
        if self.being_described or not isinstance(self.request, ServiceRequest):
            return {}
        context = super().get_serializer_context()
        return {**context, "person": person_behind(self.request), "catalogue": catalogue_for(self.request)}

    @property
    def instant(self) -> datetime:
        """The instant at which the request is answered."""
        return asking(self.request).now

    def refuse_browsing(self, request: ServiceRequest) -> None:
        """Drivers read what is told of units they name. Unreadable `unit_needed`."""
        if request.person.current_roles <= FIELD and "unit" not in request.query_params:
            raise Unreadable("unit_needed", problems=[FieldProblem("", "unit_needed", parameter="unit")])
