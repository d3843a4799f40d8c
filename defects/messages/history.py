"""Sentences of the entries that defects writes into a unit's history: `history_` before the entry's kind."""

from django.utils.translation import gettext_lazy as _

from common.messages import register

# A walk-around
register("history_report_signed", _("A report was signed: {checks} checks, {findings} found, {queried} queried."))
register("history_report_assigned", _("A report that named {given_unit} was said to be on this unit."))
register("history_photo_received", _("A photo came in."))
register("history_defect_reported", _("Defect {defect} was reported."))
register("history_defect_seen_again", _("Defect {defect} was seen again."))
register("history_defect_raised", _("Defect {defect} was found worse: {severity}."))
register("history_defect_seen_late", _("A report from before its certificate came in on defect {defect}."))
register("history_fault_corrected_on_the_spot", _("Put right on the spot by {by}: {what}"))
register("history_hold_placed", _("Hold {hold} was placed: {reason}"))

# Certificates, grades, errors
register("history_certificate_signed", _("Defect {defect}: {signer} certified: {kind}. {statement}"))
register("history_signing_link_made", _("A link to sign for defect {defect} was made, good until {expires_at}."))
register("history_test_repeated", _("Defect {defect}: {by} repeated the test, {passed}. {note}"))
register("history_defect_closed", _("Defect {defect} was closed."))
register("history_deferral_ended", _("Defect {defect}: the time for which repair was unnecessary is over."))
register("history_defect_graded", _("Defect {defect} was graded: {severity}. {reason}"))
register("history_defect_regraded", _("Defect {defect} was graded anew: {severity}. {reason}"))
register("history_defect_entered_in_error", _("Defect {defect} was entered in error. {reason}"))
register("history_defect_reopened", _("Defect {defect} was reopened. {reason}"))

# Holds, reviews, refusals, moves
register("history_hold_lifted", _("Hold {hold} was lifted. {reason}"))
register("history_report_set_aside", _("A report that cannot be read was set aside: {reason}"))
register("history_driver_reviewed", _("A driver reviewed the reports and certificates of defects {defects}."))
register("history_unit_refused", _("A driver refused the unit: {reason}"))
register("history_look_link_made", _("A link for a second look was made, good until {expires_at}."))
register("history_second_look", _("A second person looked: {finding}"))
register("history_yard_move", _("Moved in the yard, from {from} to {to}: {reason}"))
register("history_limited_move_allowed", _("A limited move was allowed, from {from} to {to}: {why_nearest}"))
register("history_limited_move_ended", _("The limited move was ended. {note}"))
