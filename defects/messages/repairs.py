"""What is refused about certificates, grades, errors in entry and holds, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Signatures
    "sign_yourself": _("Only the person who sends this may sign it."),
    "signed_in_future": _("The signature is in the future; check the device's clock."),
    "link_unknown": _("This link was used, was taken back or is over. Ask for a new one."),
    "link_used": _("Somebody has signed by this link already."),
    "link_for_one_thing": _("A link is for defects or for a refusal: name one of the two."),
    "not_on_the_link": _("The link is not for this defect."),
    "signed_twice": _("Sign once for each defect."),
    # Certificates
    "defect_not_graded": _("The foreman must grade this first: {faults}."),
    "certificate_without_evidence": _("A certificate needs evidence here: {evidence}."),
    "nobody_worked": _("Nobody is known to have worked on this. Name in the certificate who did."),
    "test_shows_nothing": _("A test repeated shows nothing here. What is needed: {evidence}."),
    "tested_before_found": _("The test must be later than when the defect was last found, {found_at}."),
    "word_does_not_count": _("{person} is not qualified to say that all is well here."),
    "photo_not_stored": _("Send the photo first."),
    "photo_before_found": _("The photo is from before the defect was last found, {found_at}. Take a new one."),
    "photo_unknown": _("There is no such photo here."),
    "photos_too_fast": _("Many photos came at once. Send the others in {retry_after} seconds; none is lost."),
    "photo_not_named": _("No signed report of this walk-around names a photo with this hash."),
    "measured_before_found": _("It must be measured after the defect was found, {found_at}."),
    "measured_in_future": _("The measurement is in the future."),
    "signed_before_found": _("It must be signed after the defect was found, {found_at}."),
    "agent_reason_needed": _("Say why you sign as the carrier's agent, and that you are satisfied with the repair."),
    "brake_qualification_needed": _("{signer} is not qualified for work on brakes."),
    "brake_evidence_needed": _("Say who at the firm keeps the evidence of your qualification for brakes."),
    # Repair unnecessary for now
    "dismissal_refused": _("This finding can be ended only by a repair, or by a new measurement within the limit."),
    "on_officers_order": _("It is on an officer's notice, so only its repair ends it: {faults}."),
    "limit_needed": _("Say until when: a last day, an odometer total or a total of engine hours."),
    "limit_refused": _("The limit is not one that can be kept."),
    "limit_passed": _("This limit has passed already; it stands at {now_at}."),
    "meter_never_read": _("This meter of the unit was never read, so nothing can show the limit to pass."),
    # Grades
    "graded_already": _("It has its grade; change that instead: {faults}."),
    "severity_and_bars_do_not_match": _("{severity} and bars {bars} do not go together."),
    "below_regulation": _(
        "{source} is graded here: {regulation}. "
        "Nothing goes below that without a repair or a measurement within the limit."
    ),
    "description_refused": _("The unit has no such point, place or condition."),
    "fault_already_open": _("The same fault stands already: {faults}."),
    # Entered in error
    "worked_on_already": _("Somebody worked on it, so it is repaired, not entered in error: {faults}."),
    "error_without_evidence": _("An error in entry needs evidence here: {evidence}."),
    "second_person_needed": _("Another person than those who found it must measure or look."),
    # Holds
    "defect_not_of_unit": _("The unit has no such defect."),
    "defect_not_open": _("This defect is not open any more: {faults}."),
    "defect_held_already": _("A hold stands for this defect already."),
    "photo_not_arrived": _("Hold {hold} stands until a photo of what was fixed on the spot is here: {faults}."),
    "firm_not_confirmed": _(
        "Hold {hold} stands: {what}. Somebody who did not make the link must confirm the firm first: {firms}."
    ),
    "new_evidence_needed": _("Lifting alone asks a new photo or measurement after the certificate: {faults}."),
    "in_error_by_another": _("You entered the defect in error. Another foreman lifts the hold."),
    "repairs_outstanding": _("Hold {hold} stands until these defects are certified repaired: {faults}."),
    "order_without_repairs": _("The repairs on the officer's notice are not on record, so none can be done."),
    "second_person_lifts": _("You worked on the repair, signed it or entered it. Another foreman lifts the hold."),
}
CONSTRAINTS = {
    "hold_one_standing_for_defect": "defect_held_already",
}
