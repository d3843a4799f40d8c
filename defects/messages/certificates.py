"""What is said of certificates, deferrals and repeated tests: refusals, history entries and labels."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

CERTIFICATE_KINDS: dict[str, Template] = {
    enums.CertificateKind.REPAIRED: _("repaired"),
    enums.CertificateKind.REPAIR_UNNECESSARY: _("repair unnecessary"),
}
EVIDENCE: dict[str, Template] = {
    enums.Evidence.PHOTO: _("a photo"),
    enums.Evidence.MEASUREMENT: _("a measurement"),
    enums.Evidence.REPEATED_TEST: _("the test repeated by another qualified person"),
    enums.Evidence.STATEMENT: _("a statement in words"),
}
OUTCOMES: dict[str, Template] = {"True": _("it passed"), "False": _("it failed again")}
"""What a repeated test showed."""
MESSAGES: Messages = {
    "defect_not_graded": _("The foreman must grade this first: {faults}."),
    "certificate_without_evidence": _("A certificate needs evidence here: {evidence}."),
    "nobody_worked": _("No worker is recorded for this. Name the worker in the certificate."),
    "test_shows_nothing": _("A repeated test proves nothing here. Needed: {evidence}."),
    "tested_before_found": _("The test must be later than when the defect was last found, {found_at}."),
    "word_does_not_count": _("{person} is not qualified to pass this check."),
    "photo_not_stored": _("Send the photo first."),
    "photo_before_found": _("The photo is from before the defect was last found, {found_at}. Take a new one."),
    "measured_before_found": _("Measure after the defect was found, {found_at}."),
    "measured_in_future": _("The measurement is in the future."),
    "signed_before_found": _("Sign after the defect was found, {found_at}."),
    "agent_reason_needed": _("State why you sign as the carrier's agent and are satisfied with the repair."),
    "brake_qualification_needed": _("{signer} is not qualified for work on brakes."),
    "brake_evidence_needed": _("Name who at the firm keeps the evidence of your brake qualification."),
    "dismissal_refused": _("Only a repair or a measurement within the limit ends this."),
    "on_officers_order": _("It is on an officer's notice. Only a repair ends it: {faults}."),
    "limit_needed": _("Give the limit: a last day, an odometer total or engine hours."),
    "limit_refused": _("This limit cannot be stored."),
    "limit_passed": _("This limit has passed: the meter is at {now_at}."),
    "meter_never_read": _("This meter has no reading, so the limit cannot be checked."),
    # In a unit's history
    "history_certificate_signed": _("Defect {defect}: {signer} certified: {kind}. {statement}"),
    "history_test_repeated": _("Defect {defect}: {by} repeated the test, {passed}. {note}"),
    "history_deferral_ended": _("Defect {defect}: the deferral is over."),
}
