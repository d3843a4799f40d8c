"""The scan of a paper: put to a current document, at once or later."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from fleet.models import Document, Person
from fleet.rules.documents.file_types import PAPERS
from fleet.services.documents.documents import locked_paper, paper_written_by
from fleet.services.documents.files import store_file
from fleet.services.documents.writers import record_documents


@transaction.atomic
def attach_file(
    *, document_id: UUID, version: int | None, content: bytes, declared: str, actor: Person, now: datetime
) -> Document:
    """Keep a scan and let the document show it; an earlier one stays kept, and named in the unit's history.

    The bytes are stored before the subject is locked: that takes a while, and a unit is written about meanwhile.
    NotFound `document_unknown`, PreconditionFailed `version_changed`, NotAllowed `not_your_documents`, Conflict
    `action_not_allowed`, and the refusals of `fleet.services.documents.files.store_file`.
    """
    known = paper_written_by(actor, document_id)
    file = store_file(content=content, declared=declared, allowed=PAPERS, expected_sha256=None, now=now)
    with locked_paper("edit", known, version, actor, now) as (work, document, _, _):
        before, document.file = document.file_id, file
        work.save(document, "file")
        body = {"sha256": document.file_id, "before": before}
        record_documents(work, [("document_scanned", document, body)])
        return document
