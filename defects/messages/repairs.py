"""What is refused about certificates, grades, errors in entry and holds, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register

# Signatures
register("sign_yourself", _("Only the person who sends this may sign it."))
register("signed_in_future", _("The signature is in the future; check the device's clock."))
register("link_unknown", _("This link was used, was taken back or is over. Ask for a new one."))
register("link_used", _("Somebody has signed by this link already."))
register("link_for_one_thing", _("A link is for defects or for a refusal: name one of the two."))
register("not_on_the_link", _("The link is not for this defect."))
register("signed_twice", _("Sign once for each defect."))

# Certificates
register("defect_not_graded", _("The foreman must grade this first: {faults}."))
register("certificate_without_evidence", _("A certificate needs evidence here: {evidence}."))
register("nobody_worked", _("Nobody is known to have worked on this. Name in the certificate who did."))
register("test_shows_nothing", _("A test repeated shows nothing here. What is needed: {evidence}."))
register("tested_before_found", _("The test must be later than when the defect was last found, {found_at}."))
register("word_does_not_count", _("{person} is not qualified to say that all is well here."))
register("photo_not_stored", _("Send the photo first."))
register("photo_before_found", _("The photo is from before the defect was last found, {found_at}. Take a new one."))
register("photo_unknown", _("There is no such photo here."))
register("photos_too_fast", _("Many photos came at once. Send the others in {retry_after} seconds; none is lost."))
register("photo_not_named", _("No signed report of this walk-around names a photo with this hash."))
register("measured_before_found", _("It must be measured after the defect was found, {found_at}."))
register("measured_in_future", _("The measurement is in the future."))
register("signed_before_found", _("It must be signed after the defect was found, {found_at}."))
register(
    "agent_reason_needed", _("Say why you sign as the carrier's agent, and that you are satisfied with the repair.")
)
register("brake_qualification_needed", _("{signer} is not qualified for work on brakes."))
register("brake_evidence_needed", _("Say who at the firm keeps the evidence of your qualification for brakes."))

# Repair unnecessary for now
register(
    "dismissal_refused",
    _("This finding can be ended only by a repair, or by a new measurement within the limit."),
)
register("on_officers_order", _("It is on an officer's notice, so only its repair ends it: {faults}."))
register("limit_needed", _("Say until when: a last day, an odometer total or a total of engine hours."))
register("limit_refused", _("The limit is not one that can be kept."))
register("limit_passed", _("This limit has passed already; it stands at {now_at}."))
register("meter_never_read", _("This meter of the unit was never read, so nothing can show the limit to pass."))

# Grades
register("graded_already", _("It has its grade; change that instead: {faults}."))
register("severity_and_bars_do_not_match", _("{severity} and bars {bars} do not go together."))
register(
    "below_regulation",
    _(
        "{source} is graded here: {regulation}. "
        "Nothing goes below that without a repair or a measurement within the limit."
    ),
)
register("description_refused", _("The unit has no such point, place or condition."))
register("fault_already_open", _("The same fault stands already: {faults}."))

# Entered in error
register("worked_on_already", _("Somebody worked on it, so it is repaired, not entered in error: {faults}."))
register("error_without_evidence", _("An error in entry needs evidence here: {evidence}."))
register("second_person_needed", _("Another person than those who found it must measure or look."))

# Holds
register("defect_not_of_unit", _("The unit has no such defect."))
register("defect_not_open", _("This defect is not open any more: {faults}."))
register("defect_held_already", _("A hold stands for this defect already."))
register("photo_not_arrived", _("Hold {hold} stands until a photo of what was fixed on the spot is here: {faults}."))
register(
    "firm_not_confirmed",
    _("Hold {hold} stands: {what}. Somebody who did not make the link must confirm the firm first: {firms}."),
)
register("new_evidence_needed", _("Lifting alone asks a new photo or measurement after the certificate: {faults}."))
register("in_error_by_another", _("You entered the defect in error. Another foreman lifts the hold."))
register("repairs_outstanding", _("Hold {hold} stands until these defects are certified repaired: {faults}."))
register("order_without_repairs", _("The repairs on the officer's notice are not on record, so none can be done."))
register("second_person_lifts", _("You worked on the repair, signed it or entered it. Another foreman lifts the hold."))
register_constraint("hold_one_standing_for_defect", "defect_held_already")
