"""The picture of a scale ticket: sent under the hash that the ticket names, and shown with the load."""

from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from defects.api.walkarounds.photos import GIVEN, named_by, photo_sent, photo_served
from defects.selectors.loads.loads import load_key
from defects.selectors.walkarounds.photos import photo_file
from defects.services.walkarounds.photos import store_ticket_photo
from defects.transitions import LOADS
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.files import SENT, FileParser
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ServiceView


class TicketPhotoView(ServiceView):
    """A picture that a scale ticket of a load names."""

    roles = {"get": READERS_OF_DEFECTS, "put": LOADS.roles_for("weigh")}
    parser_classes = (FileParser,)
    tag = "photos"

    @extend_schema(summary="The picture of a scale ticket", responses=GIVEN)
    def get(self, request: ServiceRequest, ref: str, sha256: str) -> HttpResponse:
        """The picture without place and time in it; the original for compliance and auditor."""
        return photo_served(request.person, photo_file(named_by(sha256), load=load_key(ref)))

    @extend_schema(summary="Send the picture of a scale ticket", request=SENT, responses={201: None, 204: None})
    def put(self, request: ServiceRequest, ref: str, sha256: str) -> Response:
        """201 when it is new, 204 when it is here already; its name is the SHA-256 of its bytes in hexadecimal."""
        _, new = store_ticket_photo(
            load_id=load_key(ref), sent=photo_sent(request, sha256), actor=request.person, now=request.now
        )
        return Response(status=201 if new else 204)
