"""Sentences about documents and files."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register

# Documents
register("document_unknown", _("There is no such document."))
register("document_kind_unknown", _("There is no such kind of document. Known are: {allowed}."))
register("document_refused", _("What is said about the document is refused."))
register("document_current_exists", _("A document of this kind is on record; replace it instead."))
register("document_two_subjects", _("A document is a unit's, a person's or the carrier's."))
register("not_your_documents", _("Your roles do not allow you to record this document."))
register("document_not_of_subject", _("A document of this kind is none of such a subject."))
register("document_state_needed", _("A document of this kind is given by certain States; name the one."))
register("state_unknown", _("There is no such State."))
register("program_not_of_kind", _("A document of this kind comes from no inspection program."))
register("inspection_program_missing", _("Say who inspected: the carrier (self), an agent, or a State's program."))
register("inspector_not_qualified", _("Nobody of that name is on record as qualified for this inspection on that day."))
register(
    "inspection_by_others_incomplete",
    _("An inspection by an agent names the inspector, the firm (issuer), and who keeps the evidence."),
)
register("period_required", _("Without this the end of the document cannot be found."))
register("period_ends_before_start", _("The end lies before the beginning."))
register("period_ends_too_late", _("No paper runs that long. One without an end is permanent."))
register("period_may_not_be_permanent", _("A document of this kind always has an end."))
register("period_end_is_computed", _("The end follows from the beginning, and is another day than the one given."))
register("period_malformed", _("From this the end of the document cannot be found."))
register_constraint("document_one_current", "document_current_exists")
register_constraint("document_ends_after_start", "period_ends_before_start")

# The expiry list
register("list_too_long", _("The list has more than {max_rows} rows; narrow it down, for example by a horizon."))
register("expiry_current", _("Serves through {day}."))
register("expiry_due", _("Due: the last day is {day}."))
register("expiry_in_grace", _("In grace until {grace_until}."))
register("expiry_expired", _("Expired: the last day was {last_day}."))
register("expiry_missing", _("Missing."))
register("expiry_not_known", _("Not known: the carrier has not said whether it applies."))
register("expiry_undecided", _("{kind}: the carrier has not said whether it applies"))
register("expiry_event", _("{whose}: {kind}, last day"))
register("expiry_task", _("{whose}: {kind} is missing"))
register("expiry_of_carrier", _("The carrier"))
register("expiry_list", _("Expiry list"))
register("feed_ends", _("The feed {feed} ends: make a new one"))
register("feed_lasts_too_long", _("A feed lasts a year at most, until {last}."))
register("expiry_named", _("Number: {number}"))
register("expiry_state", _("State: {state}"))
register("expiry_by_day", _("Last day by day: {ends_on}"))
register("expiry_by_month", _("Last day by month end: {ends_on_month}"))
register("expiry_grace", _("Grace through {grace_until}"))
register("expiry_source", _("Rule: {source}"))
register("feed_unknown", _("There is no such feed."))

# A unit's file
register("file_days_turned", _("The last day lies before the first."))

# Files
register("file_too_large", _("The file is larger than {max_bytes} bytes."))
register("file_empty", _("The file is empty."))
register("file_type_refused", _("The file's content is none of these: {allowed}."))
register("file_mislabelled", _("The file is announced as something else; its content is {found}."))
register("file_hash_differs", _("The file is not the one announced; its SHA-256 is {found}."))
register("file_store_unavailable", _("Files cannot be kept or read at present; try again soon."))
register("file_missing", _("The file cannot be read at present."))
register("photo_unreadable", _("The file cannot be opened as a picture."))
register(
    "file_not_shown",
    _("The file is kept as it came, but cannot be opened as a picture. The compliance manager can read it."),
)
