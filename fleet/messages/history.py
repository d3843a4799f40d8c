"""Sentences of the entries that fleet writes into a unit's history: `history_` before the entry's kind."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

PREFIX = "history"

MESSAGES: Messages = {
    "history_unit_added": _("The unit was added."),
    "history_unit_of_others_added": _("The unit of {owner} was added."),
    "history_unit_edited": _("The unit's record was changed."),
    "history_unit_retired": _("The unit was taken out of service on {retired_on}: {reason}"),
    "history_coupled": _("The unit was coupled."),
    "history_uncoupled": _("The unit was uncoupled."),
    "history_mounted": _("The cooling unit was mounted on the trailer."),
    "history_dismounted": _("The cooling unit was dismounted from the trailer."),
    "history_meter_read": _("A meter was read, {meter}: {shown}, {total} in all."),
    "history_meter_replaced": _("A meter was replaced, {meter}: at {total} in all, the new one at {shown}. {reason}"),
    "history_cooling_readings_recorded": _("Readings of the cooling unit were recorded: {count}."),
    "history_whereabouts_recorded": _("Where the unit is was recorded: {location} {site} {address}."),
    "history_document_recorded": _("A document was recorded: {kind}, to {ends_on}."),
    "history_document_replaced": _("A document was replaced: {kind}, to {ends_on}."),
    "history_document_edited": _("A document was corrected: {kind}."),
    "history_document_scanned": _("A document's scan was added."),
    "history_legal_hold_placed": _("A legal hold was placed ({cause}): {reason}"),
    "history_legal_hold_lifted": _("A legal hold was lifted ({cause}): {reason}"),
    "history_file_made": _("A unit file was made. Its manifest's SHA-256 is {manifest}."),
}
