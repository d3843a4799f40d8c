"""Sentences of the gaps that an audit rehearsal finds in fleet's records."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
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
}
