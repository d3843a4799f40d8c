"""Sentences about people, sign-in, roles, sites and what the carrier decides."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register

# Signing in
register("sign_in_refused", _("The name or the password is not right."))
register("sign_in_too_often", _("Too many attempts; try again in {retry_after} seconds."))
register("token_unknown", _("There is no such device of yours."))

# People
register("person_unknown", _("There is no such person."))
register("firm_is_the_carrier", _("That is the carrier itself. Its own people sign in and sign for themselves."))
register("person_left", _("The person left on {left_on}."))
register("username_taken", _("Another person signs in with this name."))
register("sign_in_needs_administrator", _("Only an administrator gives a name to sign in with."))
register("person_signs_in", _("The person signs in here; the office changes what is said about them."))
register("password_wrong", _("The present password is not right."))
register("password_missing", _("A name to sign in with needs a password."))
register("password_without_username", _("A password needs a name to sign in with."))
register("password_refused", _("The password is too easy to guess."))
register("password_too_short", _("The password is too short."))
register("password_too_common", _("The password is one that many people use."))
register("password_entirely_numeric", _("The password has nothing but digits."))
register("password_too_similar", _("The password is too much like the person's name."))
register("password_few_characters", _("The password has too few different characters."))
register("password_unchanged", _("The password is the present one; choose another."))
register("own_password_first", _("Somebody else set your password. Set one of your own first."))
register("no_username", _("The person has no name to sign in with."))
register_constraint("fleet_person_username_key", "username_taken")

# Roles and qualifications
register("role_unknown", _("The person has no such role."))
register("role_already_held", _("The person holds this role in that time already."))
register("role_ended", _("The role ended on {ends_on}."))
register("role_backdated", _("A role counts from today or a later day, never from before."))
register("role_end_backdated", _("A role ends yesterday at the earliest."))
register("grants_oneself", _("Nobody gives a role to oneself. Ask another administrator."))
register("qualifies_oneself", _("Nobody records a qualification of one's own. Ask somebody else of the office."))
register("administrator_at_one_site", _("An administrator is one everywhere; leave the site out."))
register("person_is_administrator", _("Only an administrator changes what is said about an administrator."))
register(
    "qualification_ends_before",
    _("The qualification ends on {ends_on}. Record the new evidence as a qualification of its own."),
)
register("last_administrator", _("Somebody must remain who can sign in as administrator."))
register("qualification_unknown", _("There is no such qualification."))

# Sites and the carrier
register("site_unknown", _("There is no such site."))
register("site_code_taken", _("Another site has this code."))
register("site_code_malformed", _("A code has 1 to 24 letters, digits, points, hyphens and underscores."))
register("time_zone_unknown", _("There is no such time zone; an example is America/Chicago."))
register("usdot_not_digits", _("A USDOT number has digits only, at most 12."))
register("carrier_exists", _("The carrier is recorded already."))
register("carrier_missing", _("The carrier is not recorded yet."))
register_constraint("fleet_site_code_key", "site_code_taken")

# What the carrier decides
register("policy_key_unknown", _("There is nothing to decide under the name {key}."))
register("policy_backdated", _("A decision holds from now on or later, never from before."))
register(
    "policy_decides_for_oneself",
    _("It would let you lift what you repaired. Somebody else decides it, or it is set at the console."),
)
register("policy_set_already", _("Something was decided for the same instant already."))
register("policy_not_a_flag", _("The value must be true or false."))
register("policy_not_among_choices", _("The value is none of those to choose from."))
register("policy_not_whole_in_range", _("The value must be a whole number within its range."))
register("policy_not_paper_conditions", _("The value must be lists of conditions, by kind of unit, person or carrier."))
register("policy_paper_condition_unknown", _("There is no such condition for papers."))
register("policy_not_states", _("The value must be a list of States, two letters each."))
register("policy_names_twice", _("A name appears twice in the list."))
register("policy_not_a_list_of_objects", _("The value must be a list of rules."))
register("policy_not_lead_times", _("The value must be days of lead time by kind of document."))
register("policy_document_kind_unknown", _("There is no such kind of document."))
register("policy_lead_times_not_falling", _("Days of lead fall from the longest to the shortest."))
register("policy_malformed", _("The value has not the form of this decision."))
register_constraint("policy_key_from_unique", "policy_set_already")

# Who is on call
register("webhook_unknown", _("There is no such address to post to."))
register("webhook_closed", _("This address was closed already."))
register("webhook_exists", _("The person has an address to post to; close it first."))
register("webhook_not_https", _("Notices are posted by https alone."))
register("webhook_url_malformed", _("Give a whole address with a host, without a name, a password or a fragment."))
register("on_call_unknown", _("There is no such turn."))
register("on_call_over", _("The turn would be over already."))
register("on_call_role_not_held", _("The person does not hold this role on the first day of the turn."))
register("on_call_withdrawn", _("The turn was withdrawn already."))

# The database's own roles, told to whoever sets the service up
register("role_too_strong", _("The database role {role} owns or may do more than the web process should."))
