"""The scan of a document."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.api.views import expected_version, set_etag
from common.errors import or_not_found
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.files import SENT, FileParser
from fleet.api.requests.roles import DESKS
from fleet.api.requests.views import ServiceView
from fleet.models import Document
from fleet.rules.documents.file_types import DOCUMENTS, ENDINGS
from fleet.selectors.people.visible import documents_visible_to
from fleet.services.documents.documents import attach_file
from fleet.services.documents.files import shown_to


class DocumentFileView(ServiceView):
    """A scan, sent and given as the file itself."""

    roles = {"get": ANY_ROLE, "put": DESKS}
    if_match = frozenset({"put"})
    parser_classes = (FileParser,)

    @extend_schema(responses={(200, media): OpenApiTypes.BINARY for media in sorted(DOCUMENTS)})
    def get(self, request: ServiceRequest, key: UUID) -> HttpResponse:
        """The scan; without a camera's notes of place and time, but for compliance and auditor."""
        file = or_not_found(_document(request, key).file, "file_missing")
        response = HttpResponse(shown_to(request.person, file).content, content_type=file.media_type)
        response.headers["Content-Disposition"] = f'attachment; filename="{key}.{ENDINGS[file.media_type]}"'
        return response

    @extend_schema(request=SENT, responses={204: None})
    def put(self, request: ServiceRequest, key: UUID) -> Response:
        """Put a scan to a current document; an earlier one stays kept.

        A PDF, JPEG or PNG file, known by its bytes. A Content-Type that names one of them is compared with them.
        """
        document = attach_file(
            document_id=_document(request, key).pk,
            version=expected_version(request),
            content=request.file,
            declared=(request.content_type or "").partition(";")[0].strip().lower(),
            actor=request.person,
            now=request.now,
        )
        response = Response(status=204)
        set_etag(response, document.version)
        return response


def _document(request: ServiceRequest, key: UUID) -> Document:
    return or_not_found(
        documents_visible_to(request.person).select_related("file").filter(pk=key).first(), "document_unknown"
    )
