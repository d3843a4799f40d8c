"""The kind of a document on record, by the name stored with it: also where a newer release brought the kind."""

from fleet.rules.documents.kinds import LANGUAGES, DocumentKind, Source
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import ExplicitDate
from fleet.rules.documents.qualified import qualification_kinds


def kind_on_record(name: str) -> DocumentKind:
    """Return the kind of a document or qualification; an unknown one is called by its name and bars nothing.

    The release that knows it bars by it: an older one beside it cannot tell what the document is for.
    """
    return qualification_kinds().get(name) or load_document_kinds().get(name) or _unknown(name)


def _unknown(name: str) -> DocumentKind:
    return DocumentKind(
        name=name,
        applies_to=frozenset(),
        rule=ExplicitDate(may_be_permanent=True),
        required=False,
        bars_clearance=False,
        missing_bars=False,
        overdue_for_days=0,
        keep="",
        source=Source("", "memory"),
        text=dict.fromkeys(LANGUAGES, name),
    )
