"""Sending a photo under the hash of its content, and reading it: without its notes, but for who keeps the record."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.storing import FOR_GOOD, NEVER
from common.api.values import SHA256_TEXT
from common.errors import NotFound
from defects.selectors.defects.defects import defect_key
from defects.selectors.walkarounds.photos import photo_file
from defects.services.walkarounds.photos import ALLOWED, Sent, store_defect_photo, store_walkaround_photo
from defects.transitions import DEFECTS
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.files import SENT, FileParser
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ServiceView
from fleet.enums import Role
from fleet.models import Person, StoredFile
from fleet.rules.documents.file_types import ENDINGS
from fleet.services.documents.files import shown_to

SENDS_WALKAROUNDS = frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN})
GIVEN = {(200, media): OpenApiTypes.BINARY for media in sorted(ALLOWED)}


class WalkaroundPhotoView(ServiceView):
    """A photo that the signed checks of a walk-around name."""

    roles = {"get": READERS_OF_DEFECTS, "put": SENDS_WALKAROUNDS}
    parser_classes = (FileParser,)
    tag = "photos"

    @extend_schema(summary="A photo of a walk-around", responses=GIVEN)
    def get(self, request: ServiceRequest, key: UUID, sha256: str) -> HttpResponse:
        """The picture without place and time in it; the original for compliance and auditor."""
        return photo_served(request.person, photo_file(named_by(sha256), walkaround=key))

    @extend_schema(summary="Send a photo that your signed checks name", request=SENT, responses={201: None, 204: None})
    def put(self, request: ServiceRequest, key: UUID, sha256: str) -> Response:
        """201 when it is new, 204 when it is here already; its name is the SHA-256 of its bytes in hexadecimal.

        A JPEG or PNG file, known by its bytes. A Content-Type that names one of them is compared with them.
        """
        _, new = store_walkaround_photo(
            walkaround_id=key, sent=photo_sent(request, sha256), actor=request.person, now=request.now
        )
        return Response(status=201 if new else 204)


class DefectPhotoView(ServiceView):
    """A photo that proves a repair."""

    roles = {"get": READERS_OF_DEFECTS, "put": DEFECTS.roles_for("certify_repaired")}
    parser_classes = (FileParser,)
    tag = "photos"

    @extend_schema(summary="A photo on a defect", responses=GIVEN)
    def get(self, request: ServiceRequest, ref: str, sha256: str) -> HttpResponse:
        """The picture without place and time in it; the original for compliance and auditor."""
        return photo_served(request.person, photo_file(named_by(sha256), defect=defect_key(ref)))

    @extend_schema(summary="Send a photo for a certificate to name", request=SENT, responses={201: None, 204: None})
    def put(self, request: ServiceRequest, ref: str, sha256: str) -> Response:
        """201 when it is new, 204 when it is here already; its name is the SHA-256 of its bytes in hexadecimal.

        A JPEG or PNG file, known by its bytes. A Content-Type that names one of them is compared with them.
        """
        _, new = store_defect_photo(
            defect_id=defect_key(ref), sent=photo_sent(request, sha256), actor=request.person, now=request.now
        )
        return Response(status=201 if new else 204)


def photo_sent(request: ServiceRequest, sha256: str) -> Sent:
    """The photo that a request brings under the hash in its address. NotFound `photo_unknown`."""
    declared = (request.content_type or "").partition(";")[0].strip().lower()
    return Sent(content=request.file, sha256=named_by(sha256), declared=declared)


def named_by(sha256: str) -> str:
    """Return the hash in an address as photos are stored under it. NotFound `photo_unknown`."""
    digits = sha256.lower()
    if not SHA256_TEXT.fullmatch(digits):
        raise NotFound("photo_unknown")
    return digits


def photo_served(person: Person, file: StoredFile) -> HttpResponse:
    """The bytes; what a hash names never changes, so a device may keep a copy, which tells no place, for good."""
    shown = shown_to(person, file)
    response = HttpResponse(shown.content, content_type=file.media_type)
    response.headers["Content-Disposition"] = f'inline; filename="{file.pk[:16]}.{ENDINGS[file.media_type]}"'
    response.headers["ETag"] = f'"{shown.name}"'
    response.headers["Cache-Control"] = NEVER if shown.name == file.pk else FOR_GOOD
    return response
