"""Papers of units, people and the carrier."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.api.permissions import ANY_ROLE
from common.errors import Invalid
from fleet.api.base import ServiceViewSet
from fleet.api.filters import DocumentFilter
from fleet.api.names import person_in_body, unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import DESKS
from fleet.api.serializers.documents import DocumentBody, DocumentOut, EditPaperBody, PaperBody
from fleet.models import Document
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.documents.status import paper_day
from fleet.selectors.people.visible import documents_visible_to
from fleet.services.documents.documents import edit_document, record_document, replace_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.transitions import DOCUMENT


class DocumentViewSet(ServiceViewSet):
    """Dated papers, the newest recorded last; replaced ones stay."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": DESKS,
        "partial_update": DOCUMENT.roles_for("edit"),
        "replace": DOCUMENT.roles_for("replace"),
    }
    if_match = frozenset({"partial_update", "replace"})
    filterset_class = DocumentFilter
    output = DocumentOut

    def get_queryset(self) -> QuerySet[Document]:
        """Return the papers that the caller may see."""
        return self.visible(documents_visible_to, Document).select_related("unit", "person")

    def get_serializer_context(self) -> dict[str, Any]:
        """Add the carrier's present day, on which each paper's status depends."""
        request = self.request
        day = {"day": paper_day(now=request.now)} if isinstance(request, ServiceRequest) else {}
        return {**super().get_serializer_context(), **day}

    @extend_schema(responses=DocumentOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Standing papers, or replaced ones when asked for."""
        return self.listed()

    @extend_schema(responses=DocumentOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One paper."""
        return self.shown(self.row(self.get_queryset(), "document_unknown", pk=key))

    @extend_schema(request=DocumentBody, responses={201: DocumentOut})
    def create(self, request: ServiceRequest) -> Response:
        """Record the first paper of its kind; the next one replaces it."""
        body = parsed(DocumentBody, request)
        document = record_document(
            kind=body.validated_data["kind"],
            subject=_subject(body),
            facts=body.facts,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.created(self._again(document), f"{request.path}/{document.pk}")

    @extend_schema(request=EditPaperBody, responses=DocumentOut)
    def partial_update(self, request: ServiceRequest, key: UUID) -> Response:
        """Mend what was typed wrong; the end is computed anew."""
        changes = parsed(EditPaperBody, request, partial=True).validated_data
        document = edit_document(
            document_id=self.row(self.get_queryset(), "document_unknown", pk=key).pk,
            version=expected_version(request),
            changes=changes,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self._again(document))

    @extend_schema(request=PaperBody, responses={201: DocumentOut})
    def replace(self, request: ServiceRequest, key: UUID) -> Response:
        """Record the paper that follows this one; the answer is the new paper."""
        facts = parsed(PaperBody, request).validated_data
        document = replace_document(
            document_id=self.row(self.get_queryset(), "document_unknown", pk=key).pk,
            version=expected_version(request),
            facts=facts,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.created(self._again(document), f"{request.path.removesuffix(f'{key}/replace')}{document.pk}")

    def _again(self, document: Document) -> Document:
        return self.get_queryset().get(pk=document.pk)


def _subject(body: DocumentBody) -> DocumentSubject:
    """Whose paper a body is about; Invalid for two subjects at once or an unknown one."""
    unit, person = body.validated_data.get("unit"), body.validated_data.get("person")
    if unit and person:
        raise Invalid("document_two_subjects", pointer="/person")
    if unit:
        return DocumentSubject(unit_id=unit_in_body(unit, "/unit").pk)
    return DocumentSubject(person_id=None if person is None else person_in_body(person, "/person").pk)
