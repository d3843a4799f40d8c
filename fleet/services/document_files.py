"""The scan of a paper: put to a current document, at once or later."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import NotFound
from fleet.models import Document, Person
from fleet.rules.file_types import PAPERS
from fleet.services.document_subjects import lock_subject, refuse_others_papers, subject_of
from fleet.services.files import store_file
from fleet.services.versions import begin_edit


@transaction.atomic
def attach_file(
    *, document_id: UUID, version: int | None, content: bytes, declared: str, actor: Person, now: datetime
) -> Document:
    """Keep a scan and let the document show it; an earlier one stays kept, and named in the unit's history.

    NotFound `document_unknown`, PreconditionFailed `version_changed`, NotAllowed `not_your_documents`, and the
    refusals of `fleet.services.files.store_file`.
    """
    known = Document.objects.filter(pk=document_id).first()
    if known is None:
        raise NotFound("document_unknown")
    refuse_others_papers(subject_of(known), actor)
    locked = lock_subject(subject_of(known))
    document = Document.objects.get(pk=document_id)
    begin_edit(document, version)
    before = document.file_id
    document.file = store_file(content=content, declared=declared, allowed=PAPERS, expected_sha256=None, now=now)
    document.save(update_fields=["file", "version"])
    locked.record("document_scanned", document, {"sha256": document.file_id, "before": before}, actor, now)
    return document
