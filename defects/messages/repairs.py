"""What is refused about certificates, grades, errors in entry and holds, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Signatures
    "sign_yourself": _("Only the person who sends this may sign it."),
    "signed_in_future": _("The signature is dated in the future. Check the device's clock."),
    "link_unknown": _("This link is used, revoked or expired. Ask for a new one."),
    "link_used": _("This link is already signed."),
    "link_for_one_thing": _("A link is for defects or for a refusal: name one of the two."),
    "not_on_the_link": _("The link is not for this defect."),
    "signed_twice": _("Sign once for each defect."),
    # Certificates
    "defect_not_graded": _("The foreman must grade this first: {faults}."),
    "certificate_without_evidence": _("A certificate needs evidence here: {evidence}."),
    "nobody_worked": _("No worker is recorded for this. Name the worker in the certificate."),
    "test_shows_nothing": _("A repeated test proves nothing here. Needed: {evidence}."),
    "tested_before_found": _("The test must be later than when the defect was last found, {found_at}."),
    "word_does_not_count": _("{person} is not qualified to pass this check."),
    "photo_not_stored": _("Send the photo first."),
    "photo_before_found": _("The photo is from before the defect was last found, {found_at}. Take a new one."),
    "photo_unknown": _("There is no such photo here."),
    "photos_too_fast": _("Too many photos at once. Send the rest in {retry_after} seconds. None is lost."),
    "photo_not_named": _("No signed report of this walk-around names a photo with this hash."),
    "measured_before_found": _("Measure after the defect was found, {found_at}."),
    "measured_in_future": _("The measurement is in the future."),
    "signed_before_found": _("Sign after the defect was found, {found_at}."),
    "agent_reason_needed": _("State why you sign as the carrier's agent and are satisfied with the repair."),
    "brake_qualification_needed": _("{signer} is not qualified for work on brakes."),
    "brake_evidence_needed": _("Name who at the firm keeps the evidence of your brake qualification."),
    # Repair unnecessary for now
    "dismissal_refused": _("Only a repair or a measurement within the limit ends this."),
    "on_officers_order": _("It is on an officer's notice. Only a repair ends it: {faults}."),
    "limit_needed": _("Give the limit: a last day, an odometer total or engine hours."),
    "limit_refused": _("This limit cannot be stored."),
    "limit_passed": _("This limit has passed: the meter is at {now_at}."),
    "meter_never_read": _("This meter has no reading, so the limit cannot be checked."),
    # Grades
    "graded_already": _("It is already graded. Regrade it instead: {faults}."),
    "severity_and_bars_do_not_match": _("{severity} and bars {bars} do not go together."),
    "below_regulation": _(
        "{source} sets {regulation} here. Only a repair or a measurement within the limit lowers it."
    ),
    "description_refused": _("The unit has no such point, place or condition."),
    "fault_already_open": _("The same fault is already open: {faults}."),
    # Entered in error
    "worked_on_already": _("Work was done on it. Certify the repair instead: {faults}."),
    "error_without_evidence": _("An error in entry needs evidence here: {evidence}."),
    "second_person_needed": _("Somebody who did not find it must measure or look."),
    # Holds
    "defect_not_of_unit": _("The unit has no such defect."),
    "defect_not_open": _("This defect is no longer open: {faults}."),
    "defect_held_already": _("This defect already has an active hold."),
    "photo_not_arrived": _("Hold {hold} stays until the photo of the correction arrives: {faults}."),
    "firm_not_confirmed": _(
        "Hold {hold} stays: {what}. Somebody who did not make the link must confirm first: {firms}."
    ),
    "new_evidence_needed": _("Lifting alone needs a photo or measurement after the certificate: {faults}."),
    "in_error_by_another": _("You entered the defect in error. Another foreman lifts the hold."),
    "repairs_outstanding": _("Hold {hold} stays until these defects are certified repaired: {faults}."),
    "order_without_repairs": _("The officer's notice lists no recorded repairs, so none can be done."),
    "second_person_lifts": _("You worked on the repair, signed it or entered it. Another foreman lifts the hold."),
}
CONSTRAINTS = {"hold_one_active_for_defect": "defect_held_already"}
