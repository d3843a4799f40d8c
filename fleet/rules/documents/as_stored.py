"""The kind of a paper on record, by the name that was stored with it: also where a newer release brought the kind."""

from fleet.rules.documents.kinds import DocumentKind, Source
from fleet.rules.documents.loading import LANGUAGES, load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.rule_fields import parse_rule
from fleet.rules.documents.states import DEFAULT_LEAD_DAYS, OVERDUE_EVERY_DAYS


def kind_on_record(name: str) -> DocumentKind:
    """Return the kind of a paper or qualification; one that is not known here is called by its name and bars nothing.

    The release that knows it bars by it: an older one beside it cannot tell what the paper is for.
    """
    return qualification_kinds().get(name) or load_document_kinds().get(name) or _unknown(name)


def _unknown(name: str) -> DocumentKind:
    return DocumentKind(
        name=name,
        applies_to=frozenset(),
        when=frozenset(),
        states=frozenset(),
        rule=parse_rule({"rule": "explicit_date", "may_be_permanent": True}),
        required=False,
        bars_clearance=False,
        missing_bars=False,
        lead_days=DEFAULT_LEAD_DAYS,
        overdue_every_days=OVERDUE_EVERY_DAYS,
        overdue_for_days=0,
        keep="",
        source=Source("", "memory"),
        text=dict.fromkeys(LANGUAGES, name),
    )
