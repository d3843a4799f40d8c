"""The one carrier of this installation over HTTP."""

from typing import Annotated
from uuid import UUID

from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.permissions import ANY_ROLE
from common.api.values import Text
from common.api.views import expected_version, set_etag, takes
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.roles import ADMINISTRATOR
from fleet.api.requests.views import ServiceView
from fleet.models import Carrier
from fleet.selectors.carrier.carrier import the_carrier
from fleet.services.carrier.sites import edit_carrier


class CarrierBody(Body):
    """The carrier."""

    name: Annotated[str, Text(120)]
    usdot_number: Annotated[str, Text(12)]
    address: Annotated[str, Text(1000, multiline=True, may_be_blank=True)]
    time_zone: Annotated[str, Text(64)]


class CarrierChange(CarrierBody, partial=True):
    """What changes of the carrier."""


class CarrierAnswer(Answer):
    """The carrier."""

    id: UUID
    name: str
    usdot_number: str
    address: str
    time_zone: str
    version: int


class CarrierView(ServiceView):
    """The one carrier of this installation."""

    roles = {"get": ANY_ROLE, "patch": ADMINISTRATOR}
    if_match = frozenset({"patch"})
    shows = CarrierAnswer

    def get(self, _request: ServiceRequest) -> Response:
        """Who the carrier is, and in which zone its days end."""
        return _shown(the_carrier())

    @takes(CarrierChange)
    def patch(self, request: ServiceRequest, body: CarrierChange) -> Response:
        """Change what is given."""
        return _shown(edit_carrier(version=expected_version(request), changes=body.changes(), actor=request.person))


def _shown(carrier: Carrier) -> Response:
    response = Response(CarrierAnswer.of(carrier))
    set_etag(response, carrier.version)
    return response
