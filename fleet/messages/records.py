"""What is said of records: legal holds, unit files, purges, and the gaps that an audit rehearsal finds."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet import enums

STATES: dict[str, Template] = {enums.HoldState.ACTIVE: _("active")}
PREFIX = "history"
SIGNATURE_METHODS: dict[str, Template] = {
    enums.SignatureMethod.DRAWN: _("drawn on the screen"),
    enums.SignatureMethod.TYPED: _("typed name"),
    enums.SignatureMethod.CODE: _("personal code"),
    enums.SignatureMethod.PAPER: _("paper, captured"),
    enums.SignatureMethod.OTHER: _("in another way"),
}
MESSAGES: Messages = {
    "file_days_turned": _("The last day is before the first."),
    "export_unknown": _("There is no such table, or you may not see it."),
    "gap_make_missing": _("The make is not recorded."),
    "gap_serial_missing": _("The serial number is not recorded."),
    "gap_year_missing": _("The model year is not recorded."),
    "gap_tire_size_missing": _("The tire size is not recorded."),
    "gap_inspection_missing": _("No periodic inspection is on record."),
    "gap_inspection_expired": _("The periodic inspection covered the unit through {day} alone."),
    "gap_inspection_not_scanned": _("The inspection report of {day} is not scanned. Have it at hand."),
    "gap_inspector_evidence_missing": _("No evidence that {inspector} was a qualified inspector on {day}."),
    "gap_document_missing": _("Missing: {document}."),
    "gap_document_expired": _("Past its last day, {day}: {document}."),
    "legal_hold_unknown": _("There is no such legal hold."),
    "content_deleted": _("Kept until {retained_until} ({rule}, {source}), purged {deleted_on}. Its hash remains."),
    # In a unit's history
    "history_legal_hold_placed": _("A legal hold was placed ({cause}): {reason}"),
    "history_legal_hold_lifted": _("A legal hold was lifted ({cause}): {reason}"),
    "history_file_made": _("A unit file was made. Its manifest's SHA-256 is {manifest}."),
}
