"""What is said of the carrier, its sites, policies and on-call shifts."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet import enums

STATES: dict[str, Template] = {
    enums.SiteState.OPEN: _("open"),
    enums.SiteState.CLOSED: _("closed"),
}
MESSAGES: Messages = {
    "site_unknown": _("There is no such site."),
    "site_code_taken": _("This site code is in use."),
    "site_code_malformed": _("A code has 1 to 24 letters, digits, points, hyphens and underscores."),
    "time_zone_unknown": _("There is no such time zone; an example is America/Chicago."),
    "usdot_not_digits": _("A USDOT number has digits only, at most 12."),
    "carrier_exists": _("The carrier is recorded already."),
    "carrier_missing": _("The carrier is not recorded yet."),
    "policy_key_unknown": _("There is no policy {key}."),
    "policy_backdated": _("A policy takes effect now or later, never earlier."),
    "policy_decides_for_oneself": _("You cannot allow yourself to lift your own repairs. Somebody else must set this."),
    "policy_set_already": _("A policy is already set for this time."),
    "policy_not_a_flag": _("Must be true or false."),
    "policy_not_among_choices": _("The value is not one of the choices."),
    "policy_not_whole_in_range": _("Must be a whole number within its range."),
    "policy_not_document_conditions": _("Must be lists of conditions by kind of unit, person or carrier."),
    "policy_document_condition_unknown": _("There is no such document condition."),
    "policy_not_states": _("Must be a list of two-letter state codes."),
    "policy_names_twice": _("A name appears twice in the list."),
    "policy_not_a_list_of_objects": _("Must be a list of rules."),
    "policy_not_lead_times": _("Must be lead times in days by document kind."),
    "policy_document_kind_unknown": _("There is no such kind of document."),
    "policy_lead_times_not_falling": _("List lead days from longest to shortest."),
    "policy_malformed": _("The value does not fit this policy."),
    "on_call_unknown": _("There is no such shift."),
    "on_call_over": _("The shift would already be over."),
    "on_call_role_not_held": _("The person lacks this role on the first day of the shift."),
    "on_call_withdrawn": _("The shift is already withdrawn."),
}
CONSTRAINTS = {
    "fleet_site_code_key": "site_code_taken",
    "policy_key_from_unique": "policy_set_already",
}
