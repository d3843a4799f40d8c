"""Making and ending signing links, signing by one without a sign-in, and confirming firms."""

from http import HTTPStatus
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from common.api.client_address import client_address
from common.api.language import current_language
from common.api.permissions import ANONYMOUS
from common.errors import Invalid
from defects.api.catalogues import catalogue_for
from defects.api.defects.words import unit_body
from defects.api.readers import READERS
from defects.api.signing_links.filters import FirmFilters, LinkFilters
from defects.api.signing_links.serializers import (
    FirmBody,
    FirmOut,
    LinkBody,
    LinkedLookBody,
    LinkedSignatureBody,
    LinkOut,
    LinkSignedOut,
    LookSignedOut,
    NewLinkOut,
    OpenedLinkOut,
)
from defects.api.signing_links.words import firm_body, link_body, opened_body
from defects.api.walkarounds.photos import SENT, photo_sent
from defects.models import FirmConfirmation, SigningLink
from defects.selectors.defects.defects import defect_keys
from defects.selectors.signing_links import firm_to_confirm, links_visible_to
from defects.services.signing_links.firms import confirm_firm
from defects.services.signing_links.links import MAKES_LINKS, create_link, create_link_for_look, open_link, revoke_link
from defects.services.signing_links.outside_signing import keep_photo_by_link, look_by_link, sign_by_link
from defects.transitions import CONFIRM_FIRM
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.parsed import parsed
from fleet.api.parsers import FileParser
from fleet.api.requests import ServiceRequest

HEADER = OpenApiParameter(
    "Signing-Link", str, OpenApiParameter.HEADER, required=True, description="The token of the link."
)


class SigningLinkViewSet(ServiceViewSet):
    """Links by which somebody of another firm signs once, without a sign-in; the token is told once and kept hashed."""

    roles = {"list": READERS, "create": MAKES_LINKS, "destroy": MAKES_LINKS}
    idempotency = "none"
    problem_statuses = {"create": frozenset({404})}
    queryset = SigningLink.objects.none()
    filterset_class = LinkFilters
    serializer_class = LinkOut
    ordering = ("-made_at",)

    def get_queryset(self) -> QuerySet[SigningLink]:
        """Return the links that the caller may see."""
        return self.visible(links_visible_to, SigningLink)

    @extend_schema(operation_id="signing_links_list", responses=LinkOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Your links, everybody's for foremen, compliance and auditors; newest first."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        return self.paged(page, lambda link: link_body(link, request.now))

    @extend_schema(operation_id="signing_links_make", request=LinkBody, responses={201: NewLinkOut})
    def create(self, request: ServiceRequest) -> Response:
        """Make a link for defects of one visit or for a second look, good for four hours and one signing act."""
        given = parsed(LinkBody, request).validated_data
        if ("defects" in given) == ("refusal" in given):
            raise Invalid("link_for_one_thing", pointer="/refusal")
        if "refusal" in given:
            link, token = create_link_for_look(refusal_id=given["refusal"], actor=request.person, now=request.now)
        else:
            link, token = create_link(defects=defect_keys(given["defects"]), actor=request.person, now=request.now)
        answer = {**link_body(link, request.now), "token": token}
        return Response(answer, status=HTTPStatus.CREATED)

    @extend_schema(operation_id="signing_links_revoke", responses={204: None})
    def destroy(self, request: ServiceRequest, key: UUID) -> Response:
        """End a link: your own, anybody's for a foreman."""
        revoke_link(link_id=key, actor=request.person, now=request.now)
        return Response(status=HTTPStatus.NO_CONTENT)


class OpenedLinkView(ServiceView):
    """The link whose token is sent along; it stands in a header, so that no address holds it."""

    roles = {"get": ANONYMOUS, "post": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # the token of the link is all that there is
    idempotency = "none"
    problem_statuses = {"get": frozenset({404, 429}), "post": frozenset({404, 429})}
    tag = "signing-links"

    @extend_schema(operation_id="signing_link_read", parameters=[HEADER], responses=OpenedLinkOut)
    def get(self, request: ServiceRequest) -> Response:
        """What you are asked to sign for."""
        return Response(opened_body(opened(request), catalogue_for(request), current_language()))

    @extend_schema(
        operation_id="signing_link_sign",
        parameters=[HEADER],
        request=LinkedSignatureBody,
        responses={201: LinkSignedOut},
    )
    def post(self, request: ServiceRequest) -> Response:
        """Sign that you repaired defects of the link; it is used up."""
        body = parsed(LinkedSignatureBody, request)
        made = sign_by_link(link=opened(request), signer=body.signer(), given=body.repaired(), now=request.now)
        firms = {firm_to_confirm(certificate.defect) for certificate in made}
        answer = {
            "defects": sorted(certificate.defect.number for certificate in made),
            "firm_to_confirm": max(firms),
        }
        return Response(answer, status=HTTPStatus.CREATED)


class LinkedLookView(ServiceView):
    """The second look at a refused unit, signed by a link."""

    roles = {"post": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # as above
    idempotency = "none"
    problem_statuses = {"post": frozenset({404, 429})}
    tag = "signing-links"

    @extend_schema(
        operation_id="signing_link_look", parameters=[HEADER], request=LinkedLookBody, responses={201: LookSignedOut}
    )
    def post(self, request: ServiceRequest) -> Response:
        """Sign what you found; the link is used up, and the unit may be offered again."""
        body = parsed(LinkedLookBody, request)
        given = body.validated_data
        look = look_by_link(
            link=opened(request),
            signer=body.signer(),
            finding=given["finding"],
            looked_at=given["looked_at"],
            now=request.now,
        )
        answer = {"unit": unit_body(look.refusal.unit), "finding": look.finding}
        return Response(answer, status=HTTPStatus.CREATED)


class LinkPhotoView(ServiceView):
    """A photo of the work or of the invoice, sent by a link."""

    roles = {"put": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # as above
    parser_classes = (FileParser,)
    problem_statuses = {"put": frozenset({429})}
    tag = "signing-links"

    @extend_schema(
        operation_id="signing_link_photo",
        parameters=[HEADER],
        request=SENT,
        responses={201: None, 204: None},
    )
    def put(self, request: ServiceRequest, sha256: str) -> Response:
        """201 when it is new, 204 when it is here already; its name is the SHA-256 of its bytes in hexadecimal."""
        _, new = keep_photo_by_link(link=opened(request), sent=photo_sent(request, sha256), now=request.now)
        return Response(status=HTTPStatus.CREATED if new else HTTPStatus.NO_CONTENT)


class FirmConfirmationViewSet(ServiceViewSet):
    """Whose word there is that a repair firm is what it says."""

    roles = {"list": READERS, "create": CONFIRM_FIRM}
    queryset = FirmConfirmation.objects.none()
    filterset_class = FirmFilters
    serializer_class = FirmOut
    ordering = ("-confirmed_at",)

    @extend_schema(operation_id="firm_confirmations_list", responses=FirmOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Confirmations, newest first."""
        rows = FirmConfirmation.objects.select_related("confirmed_by")
        page = self.paginate_queryset(self.filter_queryset(rows)) or []
        return self.paged(page, firm_body)

    @extend_schema(operation_id="firm_confirmations_confirm", request=FirmBody, responses={201: FirmOut})
    def create(self, request: ServiceRequest) -> Response:
        """Confirm a firm; it counts for what was signed by links that others made."""
        given = parsed(FirmBody, request).validated_data
        row = confirm_firm(
            firm=given["firm"],
            how=given["how"],
            brake_evidence=given.get("brake_evidence", ""),
            actor=request.person,
            now=request.now,
        )
        return Response(firm_body(row), status=HTTPStatus.CREATED)


def opened(request: ServiceRequest) -> SigningLink:
    """The link whose token the request carries; errors of `open_link`."""
    token = request.headers.get("Signing-Link", "")
    return open_link(token=token, address=client_address(request), now=request.now)
