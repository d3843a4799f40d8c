"""Sentences of the entries that defects writes into a unit's history: `history_` before the entry's kind."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # A walk-around
    "history_report_signed": _("A report was signed: {checks} checks, {findings} found, {flagged} flagged."),
    "history_report_assigned": _("A report that named {given_unit} was assigned to this unit."),
    "history_photo_received": _("A photo was received."),
    "history_defect_reported": _("Defect {defect} was reported."),
    "history_defect_seen_again": _("Defect {defect} was seen again."),
    "history_defect_raised": _("Defect {defect} was raised: {severity}."),
    "history_defect_seen_late": _("Defect {defect}: a report from before its certificate was received."),
    "history_fault_corrected_on_the_spot": _("Corrected on the spot by {by}: {what}"),
    "history_hold_placed": _("Hold {hold} was placed: {reason}"),
    # Certificates, grades, errors
    "history_certificate_signed": _("Defect {defect}: {signer} certified: {kind}. {statement}"),
    "history_signing_link_made": _("A link to sign for defect {defect} was made, good until {expires_at}."),
    "history_test_repeated": _("Defect {defect}: {by} repeated the test, {passed}. {note}"),
    "history_defect_closed": _("Defect {defect} was closed."),
    "history_deferral_ended": _("Defect {defect}: the deferral is over."),
    "history_defect_graded": _("Defect {defect} was graded: {severity}. {reason}"),
    "history_defect_regraded": _("Defect {defect} was regraded: {severity}. {reason}"),
    "history_defect_entered_in_error": _("Defect {defect} was entered in error. {reason}"),
    "history_defect_reopened": _("Defect {defect} was reopened. {reason}"),
    # Holds, reviews, refusals, moves
    "history_hold_lifted": _("Hold {hold} was lifted. {reason}"),
    "history_report_set_aside": _("A report that cannot be read was set aside: {reason}"),
    "history_driver_reviewed": _("A driver reviewed the reports and certificates of defects {defects}."),
    "history_unit_refused": _("A driver refused the unit: {reason}"),
    "history_look_link_made": _("A link for a second look was made, good until {expires_at}."),
    "history_second_look": _("A second person looked: {finding}"),
    "history_tire_mounted": _("Tire {casing} was mounted at {place}."),
    "history_tire_removed": _("Tire {casing} was taken off {place}."),
    "history_yard_move": _("Moved in the yard, from {from} to {to}: {reason}"),
    "history_limited_move_allowed": _("A limited move was approved, from {from} to {to}: {why_nearest}"),
    "history_limited_move_ended": _("The limited move was ended. {note}"),
}
