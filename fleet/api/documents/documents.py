"""Documents of units, people and the carrier over HTTP: days are last days, included, in the carrier's zone."""

from datetime import date, datetime
from functools import cached_property
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import DayFilter, FlagFilter, KnownFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Choice, Day, Flag, Text, Uuid, Word
from common.api.views import expected_version, takes
from common.errors import Invalid
from common.messages import Message
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import PersonRefFilter, UnitRefsFilter
from fleet.api.requests.references import person_in_body, unit_in_body
from fleet.api.requests.roles import DESKS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import InspectionProgram
from fleet.messages.documents.reminders import kind_code
from fleet.models import Document
from fleet.rules.documents.as_stored import kind_on_record
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.states import DocumentState
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.documents.status import REPLACED, DocumentDay, document_day, document_state, file_by
from fleet.selectors.people.visible import documents_visible_to
from fleet.services.documents.documents import edit_document, record_document, replace_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.transitions import DOCUMENT

KIND = "Of an open set: the kinds of the catalogue, to which a release may add."


class NextDocumentBody(Body):
    """What a document says. An end that its kind computes from the first day need not be given."""

    number: Annotated[str, Text(60, may_be_blank=True)] = ""
    issuer: Annotated[str, Text(160, may_be_blank=True)] = ""
    issued_on: Day | None = None
    starts_on: Day | None = Field(default=None, description="First day, or the day of inspection, first use or filing.")
    ends_on: Day | None = None
    permanent: Flag = Field(default=False, description="The document has no end; only for kinds that may have none.")
    program: Annotated[str, Choice([*InspectionProgram, ""])] = ""
    inspector: Annotated[str, Text(120, may_be_blank=True)] = Field(
        default="", description="Name; of one of our own, as it stands on record."
    )
    evidence_held_by: Annotated[str, Text(160, may_be_blank=True)] = Field(
        default="", description="Who keeps the evidence that an outside inspector is qualified (49 CFR 396.19)."
    )


class EditDocumentBody(NextDocumentBody):
    """What was typed wrong on a document."""

    us_state: Annotated[str, Text(2, may_be_blank=True)] = ""


class DocumentBody(EditDocumentBody):
    """A document of a unit, of a person, or with neither of the carrier."""

    kind: Annotated[str, Text(48)] = Field(description=KIND)
    unit: UnitRef | None = None
    person: Uuid | None = None

    @property
    def facts(self) -> dict[str, object]:
        """Return what the document itself says."""
        return {name: value for name, value in self.changes().items() if name not in {"kind", "unit", "person"}}


class DocumentAnswer(Answer):
    """One document.

    `ends_on` is the end by day, `ends_on_month` the other reading of a period counted in months; `last_day` is the one
    that counts under the carrier's reading, a grace included. `status` is that of the carrier's present day.
    """

    id: UUID
    kind: str = Field(description=KIND)
    kind_text: str = Field(description="The kind in words of the reader.")
    unit: UnitShort | None
    person: PersonShort | None
    number: str
    issuer: str
    us_state: str
    issued_on: date | None
    starts_on: date | None
    ends_on: date | None
    ends_on_month: date | None
    last_day: date | None = Field(description="The last day on which it serves; null without an end.")
    file_by: date | None = Field(description="Use tax: last day to file, by the month of first use.")
    retained_until: date | None = Field(description="Last day of keeping it, as its days stand; null without one.")
    status: Annotated[str, Word([*DocumentState, REPLACED])]
    program: str
    inspector: str
    evidence_held_by: str
    inspector_unproven: bool = Field(
        description="Taken in from a table that does not show who was qualified to inspect."
    )
    file: str | None = Field(description="SHA-256 of the scan.")
    file_url: str | None = Field(description="Where the scan is; null without one.")
    recorded_at: datetime
    superseded_at: datetime | None
    superseded_by: UUID | None
    version: int
    allowed_actions: list[str]


class DocumentFilter(StrictFilterSet):
    """Documents; replaced ones only when asked for."""

    unit = UnitRefsFilter("unit")
    person = PersonRefFilter()
    kind = KnownFilter(known=lambda kind: kind in load_document_kinds())
    carrier = FlagFilter(method="by_carrier")
    open = OpenFilter(Q(superseded_at__isnull=True), by_default=True)
    ends_by = DayFilter("ends_on", lookup_expr="lte")
    since, until = within("recorded_at")

    def by_carrier(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return the carrier's own documents, or those of units and people."""
        own = {"unit__isnull": True, "person__isnull": True}
        return queryset.filter(**own) if value else queryset.exclude(**own)


class DocumentViewSet(ListMixin, ReadMixin):
    """Current documents, the newest recorded last, or replaced ones when asked for."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": DESKS,
        "partial_update": DOCUMENT.roles_for("edit"),
        "replace": DOCUMENT.roles_for("replace"),
    }
    if_match = frozenset({"partial_update", "replace"})
    filterset_class = DocumentFilter
    shows = DocumentAnswer
    unknown = "document_unknown"

    def get_queryset(self) -> QuerySet[Document]:
        return self.visible(documents_visible_to, Document).select_related("unit", "person")

    @cached_property
    def day(self) -> DocumentDay:
        """The carrier's present day, on which each document's status depends."""
        return document_day(now=service_request(self.request).now)

    def answer_of(self, row: Any) -> DocumentAnswer:
        return DocumentAnswer.of(
            row,
            kind_text=messages.render(Message(kind_code(row.kind)), messages.current_language()),
            last_day=self.day.last_day(row),
            file_by=file_by(kind_on_record(row.kind), row.starts_on),
            retained_until=self.day.retained_until(row),
            status=self.day.status(row),
            file=row.file_id,
            file_url=None if row.file_id is None else f"/api/v1/documents/{row.pk}/file",
            superseded_by=row.superseded_by_id,
            allowed_actions=DOCUMENT.allowed_actions(document_state(row), self.caller_roles),
        )

    @takes(DocumentBody)
    def create(self, request: ServiceRequest, body: DocumentBody) -> Response:
        """Record the first document of its kind; the next one replaces it."""
        document = record_document(
            kind=body.kind,
            subject=_subject(body),
            facts=body.facts,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.created(self._again(document), f"{request.path}/{document.pk}")

    @takes(EditDocumentBody)
    def partial_update(self, request: ServiceRequest, body: EditDocumentBody, key: UUID) -> Response:
        """Mend what was typed wrong; the end is computed anew."""
        document = edit_document(
            document_id=self.one(key).pk,
            version=expected_version(request),
            changes=body.changes(),
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self._again(document))

    @extend_schema(responses={201: DocumentAnswer})
    @takes(NextDocumentBody)
    def replace(self, request: ServiceRequest, body: NextDocumentBody, key: UUID) -> Response:
        """Record the document that follows this one; the answer is the new document."""
        document = replace_document(
            document_id=self.one(key).pk,
            version=expected_version(request),
            facts=body.changes(),
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.created(self._again(document), f"{request.path.removesuffix(f'{key}/replace')}{document.pk}")

    def _again(self, document: Document) -> Document:
        return self.get_queryset().get(pk=document.pk)


def _subject(body: DocumentBody) -> DocumentSubject:
    """Whose document a body is about; Invalid for two subjects at once or an unknown one."""
    if body.unit and body.person:
        raise Invalid("document_two_subjects", pointer="/person")
    if body.unit:
        return DocumentSubject(unit_id=unit_in_body(body.unit, "/unit").pk)
    return DocumentSubject(person_id=None if body.person is None else person_in_body(body.person, "/person").pk)
