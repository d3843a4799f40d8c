"""Sentences of the entries that fleet writes into a unit's history: `history_` before the entry's kind."""

from django.utils.translation import gettext_lazy as _

from common.messages import register

PREFIX = "history"

register("history_unit_added", _("The unit was added."))
register("history_unit_of_others_added", _("The unit of {owner} was added."))
register("history_unit_edited", _("What is said about the unit was changed."))
register("history_unit_retired", _("The unit was taken out of service on {retired_on}: {reason}"))
register("history_coupled", _("The unit was coupled."))
register("history_uncoupled", _("The unit was uncoupled."))
register("history_mounted", _("The cooling unit was set on the trailer."))
register("history_dismounted", _("The cooling unit was taken off the trailer."))
register("history_meter_read", _("A meter was read, {meter}: {shown}, {total} in all."))
register(
    "history_meter_replaced", _("A meter was replaced, {meter}: at {total} in all, the new one at {shown}. {reason}")
)
register("history_document_recorded", _("A document was recorded: {kind}, to {ends_on}."))
register("history_document_replaced", _("A document was replaced: {kind}, to {ends_on}."))
register("history_document_edited", _("A document was mended: {kind}."))
register("history_document_scanned", _("A document's scan was put on record."))
register("history_legal_hold_placed", _("The unit's file was frozen ({cause}): {reason}"))
register("history_legal_hold_lifted", _("The unit's file was let go again ({cause}): {reason}"))
register("history_file_made", _("A copy of this file was made; the SHA-256 of its manifest is {manifest}."))
