"""Making and ending signing links, signing by one without a sign-in, and confirming firms."""

from http import HTTPStatus
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from common.api.client_address import client_address
from common.api.filter_kinds import REFERENCE, KnownFilter, ReadFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANONYMOUS
from common.api.views import gives, takes
from common.errors import Invalid
from common.messages import current_language
from defects.api.catalogue.in_force import catalogue_for
from defects.api.defects.references import defects_in_body
from defects.api.signing_links.answers import (
    FirmAnswer,
    LinkAnswer,
    LinkSignedAnswer,
    LookSignedAnswer,
    NewLinkAnswer,
    OpenedLinkAnswer,
)
from defects.api.signing_links.bodies import FirmBody, LinkBody, LinkedLookBody, LinkedSignatureBody
from defects.api.walkarounds.photos import photo_sent
from defects.models import FirmConfirmation, SigningLink
from defects.selectors.defects.defects import defect_key
from defects.selectors.signing_links import firm_to_confirm, links_visible_to
from defects.services.signing_links.firms import confirm_firm
from defects.services.signing_links.links import MAKES_LINKS, create_link, create_link_for_look, open_link, revoke_link
from defects.services.signing_links.outside_signing import look_by_link, sign_by_link, store_photo_by_link
from defects.transitions import CONFIRM_FIRM
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.files import SENT, FileParser
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ServiceView
from fleet.api.units.short import UnitShort


class LinkFilters(StrictFilterSet):
    """By a defect, and when they were made."""

    defect = ReadFilter("defects", read=defect_key, described=REFERENCE)
    since, until = within("made_at")


class FirmFilters(StrictFilterSet):
    """By the firm's name, and when it was confirmed."""

    firm = KnownFilter(
        known=lambda firm: FirmConfirmation.objects.filter(firm__iexact=firm).exists(), lookup_expr="iexact"
    )
    since, until = within("confirmed_at")


HEADER = OpenApiParameter(
    "Signing-Link", str, OpenApiParameter.HEADER, required=True, description="The token of the link."
)


class SigningLinkViewSet(ListMixin):
    """Your signing links, everybody's for foremen, compliance and auditors; newest first.

    By one somebody of another firm signs once, without a sign-in; the token is told once and kept hashed.
    """

    roles = {"list": READERS_OF_DEFECTS, "create": MAKES_LINKS, "destroy": MAKES_LINKS}
    idempotency = "none"
    filterset_class = LinkFilters
    ordering = ("-made_at",)
    shows = LinkAnswer

    def get_queryset(self) -> QuerySet[SigningLink]:
        return self.visible(links_visible_to, SigningLink)

    def answer_of(self, row: Any) -> LinkAnswer:
        return LinkAnswer.of_link(row, service_request(self.request).now)

    @gives(NewLinkAnswer)
    @takes(LinkBody)
    def create(self, request: ServiceRequest, body: LinkBody) -> Response:
        """Make a link for defects of one visit or for a second look, good for four hours and one signing act."""
        given = body.changes()
        if len(given) != 1:
            raise Invalid("link_for_one_thing", pointer="/refusal")
        if "refusal" in given:
            link, token = create_link_for_look(refusal_id=body.refusal, actor=request.person, now=request.now)
        else:
            defects = defects_in_body(body.defects, "/defects")
            link, token = create_link(defects=defects, actor=request.person, now=request.now)
        return Response(NewLinkAnswer.of_link(link, request.now, token=token), status=HTTPStatus.CREATED)

    def destroy(self, request: ServiceRequest, key: UUID) -> Response:
        """End a link: your own, anybody's for a foreman."""
        revoke_link(link_id=key, actor=request.person, now=request.now)
        return Response(status=HTTPStatus.NO_CONTENT)


class OpenedLinkView(ServiceView):
    """The link whose token is sent along; it stands in a header, so that no address holds it."""

    roles = {"get": ANONYMOUS, "post": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # the token of the link is all that there is
    idempotency = "none"
    tag = "signing-links"

    @extend_schema(parameters=[HEADER], responses=OpenedLinkAnswer)
    def get(self, request: ServiceRequest) -> Response:
        """What you are asked to sign for."""
        return Response(OpenedLinkAnswer.of_link(opened(request), catalogue_for(request), current_language()))

    @extend_schema(parameters=[HEADER], responses={201: LinkSignedAnswer})
    @takes(LinkedSignatureBody)
    def post(self, request: ServiceRequest, body: LinkedSignatureBody) -> Response:
        """Sign that you repaired defects of the link; it is used up."""
        repairs = [item.repaired() for item in body.certificates]
        made = sign_by_link(link=opened(request), signer=body.signer(), repairs=repairs, now=request.now)
        firms = {firm_to_confirm(certificate.defect) for certificate in made}
        numbers = sorted(certificate.defect.number for certificate in made)
        answer = LinkSignedAnswer(defects=numbers, firm_to_confirm=max(firms))
        return Response(answer, status=HTTPStatus.CREATED)


class LinkedLookView(ServiceView):
    """The second look at a refused unit, signed by a link."""

    roles = {"post": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # as above
    idempotency = "none"
    tag = "signing-links"

    @extend_schema(parameters=[HEADER], responses={201: LookSignedAnswer})
    @takes(LinkedLookBody)
    def post(self, request: ServiceRequest, body: LinkedLookBody) -> Response:
        """Sign what you found; the link is used up, and the unit may be offered again."""
        look = look_by_link(
            link=opened(request), signer=body.signer(), found=body.found, looked_at=body.looked_at, now=request.now
        )
        answer = LookSignedAnswer(unit=UnitShort.of(look.refusal.unit), found=look.found)
        return Response(answer, status=HTTPStatus.CREATED)


class LinkPhotoView(ServiceView):
    """A photo of the work or of the invoice, sent by a link."""

    roles = {"put": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # as above
    parser_classes = (FileParser,)
    tag = "signing-links"

    @extend_schema(parameters=[HEADER], request=SENT, responses={201: None, 204: None})
    def put(self, request: ServiceRequest, sha256: str) -> Response:
        """201 when it is new, 204 when it is here already; its name is the SHA-256 of its bytes in hexadecimal.

        A JPEG or PNG file, known by its bytes. A Content-Type that names one of them is compared with them.
        """
        _, new = store_photo_by_link(link=opened(request), sent=photo_sent(request, sha256), now=request.now)
        return Response(status=HTTPStatus.CREATED if new else HTTPStatus.NO_CONTENT)


class FirmConfirmationViewSet(ListMixin):
    """Whose word there is that a repair firm is what it says, newest first."""

    roles = {"list": READERS_OF_DEFECTS, "create": CONFIRM_FIRM}
    filterset_class = FirmFilters
    ordering = ("-confirmed_at",)
    shows = FirmAnswer
    queryset = FirmConfirmation.objects.select_related("confirmed_by")

    @takes(FirmBody)
    def create(self, request: ServiceRequest, body: FirmBody) -> Response:
        """Confirm a firm; it counts for what was signed by links that others made."""
        row = confirm_firm(
            firm=body.firm, how=body.how, brake_evidence=body.brake_evidence, actor=request.person, now=request.now
        )
        return self.shown(row, HTTPStatus.CREATED)


def opened(request: ServiceRequest) -> SigningLink:
    """The link whose token the request carries; errors of `open_link`."""
    token = request.headers.get("Signing-Link", "")
    return open_link(token=token, address=client_address(request), now=request.now)
