"""Sentences of the entries that defects writes into a unit's history: `history_` before the entry's kind."""

from django.utils.translation import gettext_lazy as _

from common.messages import register

# A walk-around
register("history_report_signed", _("A report was signed: {checks} checks, {findings} found, {queried} queried."))
register("history_defect_reported", _("Defect {defect} was reported."))
register("history_defect_seen_again", _("Defect {defect} was seen again."))
register("history_defect_raised", _("Defect {defect} was found worse: {severity}."))
register("history_defect_seen_late", _("A report from before its certificate came in on defect {defect}."))
register("history_fault_corrected_on_the_spot", _("Put right on the spot by {by}: {what}"))
register("history_hold_placed", _("Hold {hold} was placed: {reason}"))
