"""What is said of documents, the expiry list, its feeds and files."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet import enums

STATES: dict[str, Template] = {
    enums.DocumentRecordState.CURRENT: _("current"),
    enums.DocumentRecordState.SUPERSEDED: _("superseded"),
}
INSPECTION_PROGRAMS: dict[str, Template] = {
    enums.InspectionProgram.SELF: _("by the carrier"),
    enums.InspectionProgram.AGENT: _("by an agent"),
    enums.InspectionProgram.STATE: _("under a State program"),
}
MESSAGES: Messages = {
    "document_unknown": _("There is no such document."),
    "document_kind_unknown": _("There is no such kind of document. Known are: {allowed}."),
    "document_refused": _("The document is not valid."),
    "document_current_exists": _("A current document of this kind exists. Replace it instead."),
    "document_two_subjects": _("A document is a unit's, a person's or the carrier's."),
    "not_your_documents": _("Your roles do not allow you to record this document."),
    "document_not_of_subject": _("This kind of document does not apply to this subject."),
    "document_state_needed": _("Name the State that issued this document."),
    "state_unknown": _("There is no such State."),
    "program_not_of_kind": _("This kind of document has no inspection program."),
    "inspection_program_missing": _("Name the program: self (the carrier), agent or state."),
    "inspector_not_qualified": _("Nobody by that name was on record as qualified that day."),
    "inspection_by_others_incomplete": _(
        "An inspection by an agent names the inspector, the firm (issuer), and who keeps the evidence."
    ),
    "period_required": _("The document's end cannot be computed without this."),
    "period_ends_before_start": _("The end is before the start."),
    "period_ends_too_late": _("No document runs that long. Use permanent for one without end."),
    "period_may_not_be_permanent": _("A document of this kind always has an end."),
    "period_end_is_computed": _("The end follows from the beginning, and is another day than the one given."),
    "period_malformed": _("The document's end cannot be computed from this."),
    # The expiry list
    "list_too_long": _("The list has more than {max_rows} rows; narrow it down, for example by a horizon."),
    "expiry_valid": _("Serves through {day}."),
    "expiry_due": _("Due: the last day is {day}."),
    "expiry_in_grace": _("In grace until {grace_until}."),
    "expiry_expired": _("Expired: the last day was {last_day}."),
    "expiry_missing": _("Missing."),
    "expiry_not_known": _("Not known: the carrier has not said whether it applies."),
    "expiry_undecided": _("{kind}: the carrier has not said whether it applies"),
    "expiry_event": _("{whose}: {kind}, last day"),
    "expiry_task": _("{whose}: {kind} is missing"),
    "expiry_of_carrier": _("The carrier"),
    "expiry_list": _("Expiry list"),
    "feed_ends": _("The feed {feed} ends: make a new one"),
    "feed_lasts_too_long": _("A feed ends within a year, by {last}."),
    "expiry_named": _("Number: {number}"),
    "expiry_state": _("State: {us_state}"),
    "expiry_by_day": _("Last day by day: {ends_on}"),
    "expiry_by_month": _("Last day by month end: {ends_on_month}"),
    "expiry_grace": _("Grace through {grace_until}"),
    "expiry_source": _("Rule: {source}"),
    "feed_unknown": _("There is no such feed."),
    # Files
    "file_too_large": _("The file is larger than {max_bytes} bytes."),
    "file_empty": _("The file is empty."),
    "file_type_refused": _("Unsupported file type. Use: {allowed}."),
    "file_mislabelled": _("The file is not of the declared type. It is {found}."),
    "file_hash_differs": _("The file is not the declared one. Its SHA-256 is {found}."),
    "file_store_unavailable": _("File storage is not available. Try again soon."),
    "file_missing": _("The file cannot be read at present."),
    "photo_unreadable": _("The file cannot be opened as a picture."),
    "file_not_shown": _("The file is stored but cannot be opened as a picture. The compliance manager can read it."),
    # In a unit's history
    "history_document_recorded": _("A document was recorded: {kind}, to {ends_on}."),
    "history_document_replaced": _("A document was replaced: {kind}, to {ends_on}."),
    "history_document_edited": _("A document was corrected: {kind}."),
    "history_document_scanned": _("A document's scan was added."),
}
CONSTRAINTS = {
    "document_one_current": "document_current_exists",
    "document_ends_after_start": "period_ends_before_start",
}
