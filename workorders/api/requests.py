"""The base of the shop's views: who reads, what a move is told, and the rule that drivers name a unit."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import Model, QuerySet
from rest_framework.response import Response

from common.api.filter_kinds import REFERENCE, ReadFilter
from common.api.views import expected_version
from common.errors import FieldProblem, NotFound, Unreadable
from defects.api.catalogue.in_force import catalogue_for
from defects.rules.catalogue.catalogue import Catalogue
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.enums import Role
from workorders.selectors.orders.listing import order_key

READERS = frozenset(
    {Role.AUDITOR, Role.COMPLIANCE, Role.DISPATCH, Role.DRIVER, Role.FOREMAN, Role.MECHANIC, Role.TRAINER}
)
FIELD = frozenset({Role.DRIVER, Role.TRAINER})


class ShopViewSet(ListMixin, ReadMixin):
    """A view of the shop: lists, reads, and makes moves."""

    drivers_name_a_unit = True
    """Whether drivers read only what is told of units they name."""

    def initial(self, request: ServiceRequest, *args: Any, **kwargs: Any) -> None:  # type: ignore[override]  # made by `initialize_request`
        """Refuse a driver who reads a list without naming a unit. Unreadable `unit_needed`."""
        super().initial(request, *args, **kwargs)
        browsing = self.action == "list" and self.drivers_name_a_unit and "unit" not in request.query_params
        if browsing and request.person.current_roles <= FIELD:
            raise Unreadable("unit_needed", problems=[FieldProblem("", "unit_needed", parameter="unit")])

    @cached_property
    def catalogue(self) -> Catalogue:
        """The catalogue by which the answers are worded, read when it is first needed."""
        return catalogue_for(service_request(self.request))

    @property
    def instant(self) -> datetime:
        return service_request(self.request).now


class MovesMixin(ShopViewSet, ABC):
    """Moves rows that are in the caller's hands, at the version that the caller saw."""

    moved_as: str
    """The name of the row among the service's arguments."""

    @abstractmethod
    def in_hands(self) -> QuerySet[Any]:
        """Return the rows that the caller may move, as far as the view decides that."""

    @abstractmethod
    def fresh(self, key: UUID) -> Model:
        """Return a row as it is now, also where the move took it out of the caller's hands."""

    def moved(self, move: Callable[..., Model], name: Any, **given: Any) -> Response:
        """Make a move and show the row; NotFound with `unknown` for a row that is not in the caller's hands."""
        request = service_request(self.request)
        key = self.in_hands().filter(self.named(name)).values_list("pk", flat=True).first()
        if key is None:
            raise NotFound(self.unknown)
        seen = expected_version(request)
        row = move(**{self.moved_as: key}, version=seen, actor=request.person, now=request.now, **given)
        return self.shown(self.fresh(row.pk))


class OrderRefFilter(ReadFilter):
    """Rows of one order, named by its number or key; `field_name` is the way to the order."""

    def __init__(self, field_name: str) -> None:
        super().__init__(field_name, read=order_key, described=REFERENCE)
