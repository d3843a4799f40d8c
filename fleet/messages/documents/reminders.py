"""The sentences of reminders, and a name for every kind of document as its catalogue words it. Decides nothing."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import lazystr
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds


def kind_code(kind: str) -> str:
    """The code whose sentence is the name of a kind of document."""
    return f"document_kind_{kind}"


@dataclass(frozen=True)
class _InReadersLanguage:
    """A name that is worded when it is asked for; the catalogue has it in every language of ours."""

    text: Mapping[str, str]

    def __str__(self) -> str:
        return self.text.get((get_language() or "en").partition("-")[0], self.text["en"])


KIND_NAMES: dict[str, Template] = {
    kind.name: lazystr(_InReadersLanguage(kind.text))
    for kind in (*load_document_kinds().values(), *qualification_kinds().values())
}
"""What each kind of document and each qualification is called."""

MESSAGES: Messages = {
    # Facts of all: whose, document, effect (whether clearance is barred by it). Of those with an end: own_end (what the
    # document says), ends_on (its last day), days.
    "document_ending": _("{whose}: {document} expires {ends_on}. Days left: {days}. {effect}"),
    "document_in_grace": _(
        "{whose}: {document} expired {own_end}, in grace until {ends_on}. Days left: {days}. {effect}"
    ),
    "document_overdue": _("{whose}: {document} expired {ends_on}. Days overdue: {days}. {effect}"),
    "document_missing": _("{whose}: {document} missing. {effect}"),
    "document_bars": _("Clearance is barred."),
    "document_will_bar": _("After {good_through} clearance is barred."),
    "document_bars_nothing": _("It bars nothing."),
    "qualification_will_end": _("The qualification is valid through {good_through}."),
    "qualification_over": _("The qualification is not valid."),
    "whose_unit": _("Unit {unit}"),
    "whose_person": "{person}",
    "whose_carrier": _("The carrier"),
    "document_of_state": "{document} ({us_state})",
    **{kind_code(kind): name for kind, name in KIND_NAMES.items()},
}
