"""How to make the row of one person that an operation of fleet names."""

from collections.abc import Callable

from fleet.models import Document, Person
from fleet.services.files import store_file
from tests.factories.fleet import NOON, make_qualification, make_token

PDF = b"%PDF-1.7 a scan"


def _paper_of(person: Person) -> str:
    scan = store_file(
        content=PDF, declared=None, allowed=frozenset({"application/pdf"}), expected_sha256=None, now=NOON
    )
    paper = Document.objects.create(
        kind="medical_certificate",
        person=person,
        ends_on="2027-01-01",
        file=scan,
        recorded_at=NOON,
        recorded_by=person,
    )
    return str(paper.pk)


ROW_OF: dict[str, Callable[[Person], str]] = {
    "GET /people/{key}": lambda person: str(person.pk),
    "GET /qualifications/{key}": lambda person: str(make_qualification(person).pk),
    "GET /documents/{key}": _paper_of,
    "GET /documents/{key}/file": _paper_of,
    "DELETE /tokens/{key}": lambda person: str(make_token(person, device="second phone")[0].pk),
}
