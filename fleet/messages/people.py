"""Sentences about people, sign-in, roles, sites and what the carrier decides."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Signing in
    "sign_in_refused": _("The username or password is incorrect."),
    "sign_in_too_often": _("Too many attempts; try again in {retry_after} seconds."),
    "token_unknown": _("There is no such device of yours."),
    # People
    "person_unknown": _("There is no such person."),
    "firm_is_the_carrier": _("That is the carrier itself. Its people sign in to sign."),
    "person_left": _("The person left on {left_on}."),
    "username_taken": _("This username is in use."),
    "sign_in_needs_administrator": _("Only an administrator sets a username."),
    "person_signs_in": _("The person signs in here. The office edits their record."),
    "password_wrong": _("The current password is wrong."),
    "password_missing": _("A username needs a password."),
    "password_without_username": _("A password needs a username."),
    "password_refused": _("The password is too easy to guess."),
    "password_too_short": _("The password is too short."),
    "password_too_common": _("The password is too common."),
    "password_entirely_numeric": _("The password has only digits."),
    "password_too_similar": _("The password is too much like the person's name."),
    "password_few_characters": _("The password has too few different characters."),
    "password_unchanged": _("This is the current password. Choose another."),
    "own_password_first": _("Somebody else set your password. Set one of your own first."),
    "no_username": _("The person has no username."),
    # Roles and qualifications
    "role_unknown": _("The person has no such role."),
    "role_already_held": _("The person holds this role in that time already."),
    "role_ended": _("The role ended on {ends_on}."),
    "role_backdated": _("A role starts today or later."),
    "role_end_backdated": _("A role cannot end before yesterday."),
    "grants_oneself": _("You cannot give yourself a role. Ask another administrator."),
    "qualifies_oneself": _("You cannot record your own qualification. Ask a colleague in the office."),
    "administrator_at_one_site": _("An administrator's role covers every site. Leave the site out."),
    "person_is_administrator": _("Only an administrator changes an administrator's record."),
    "qualification_ends_before": _("The qualification ends {ends_on}. Record new evidence as a new qualification."),
    "last_administrator": _("At least one administrator must be able to sign in."),
    "qualification_unknown": _("There is no such qualification."),
    # Sites and the carrier
    "site_unknown": _("There is no such site."),
    "site_code_taken": _("This site code is in use."),
    "site_code_malformed": _("A code has 1 to 24 letters, digits, points, hyphens and underscores."),
    "time_zone_unknown": _("There is no such time zone; an example is America/Chicago."),
    "usdot_not_digits": _("A USDOT number has digits only, at most 12."),
    "carrier_exists": _("The carrier is recorded already."),
    "carrier_missing": _("The carrier is not recorded yet."),
    # What the carrier decides
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
    # Who is on call
    "webhook_unknown": _("There is no such webhook."),
    "webhook_closed": _("This webhook is already closed."),
    "webhook_exists": _("The person has a webhook. Close it first."),
    "webhook_not_https": _("Webhooks need an https address."),
    "webhook_url_malformed": _("Give a full URL with a host and no user, password or fragment."),
    "on_call_unknown": _("There is no such shift."),
    "on_call_over": _("The shift would already be over."),
    "on_call_role_not_held": _("The person lacks this role on the first day of the shift."),
    "on_call_withdrawn": _("The shift is already withdrawn."),
    # The database's own roles, told to whoever sets the service up
    "role_too_strong": _("The database role {role} owns or may do more than the web process should."),
}
CONSTRAINTS = {
    "fleet_person_username_key": "username_taken",
    "fleet_site_code_key": "site_code_taken",
    "policy_key_from_unique": "policy_set_already",
}
