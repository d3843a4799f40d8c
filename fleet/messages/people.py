"""Sentences about people, sign-in, roles, sites and what the carrier decides."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Signing in
    "sign_in_refused": _("The name or the password is not right."),
    "sign_in_too_often": _("Too many attempts; try again in {retry_after} seconds."),
    "token_unknown": _("There is no such device of yours."),
    # People
    "person_unknown": _("There is no such person."),
    "firm_is_the_carrier": _("That is the carrier itself. Its own people sign in and sign for themselves."),
    "person_left": _("The person left on {left_on}."),
    "username_taken": _("Another person signs in with this name."),
    "sign_in_needs_administrator": _("Only an administrator gives a name to sign in with."),
    "person_signs_in": _("The person signs in here; the office changes what is said about them."),
    "password_wrong": _("The present password is not right."),
    "password_missing": _("A name to sign in with needs a password."),
    "password_without_username": _("A password needs a name to sign in with."),
    "password_refused": _("The password is too easy to guess."),
    "password_too_short": _("The password is too short."),
    "password_too_common": _("The password is one that many people use."),
    "password_entirely_numeric": _("The password has nothing but digits."),
    "password_too_similar": _("The password is too much like the person's name."),
    "password_few_characters": _("The password has too few different characters."),
    "password_unchanged": _("The password is the present one; choose another."),
    "own_password_first": _("Somebody else set your password. Set one of your own first."),
    "no_username": _("The person has no name to sign in with."),
    # Roles and qualifications
    "role_unknown": _("The person has no such role."),
    "role_already_held": _("The person holds this role in that time already."),
    "role_ended": _("The role ended on {ends_on}."),
    "role_backdated": _("A role counts from today or a later day, never from before."),
    "role_end_backdated": _("A role ends yesterday at the earliest."),
    "grants_oneself": _("Nobody gives a role to oneself. Ask another administrator."),
    "qualifies_oneself": _("Nobody records a qualification of one's own. Ask somebody else of the office."),
    "administrator_at_one_site": _("An administrator is one everywhere; leave the site out."),
    "person_is_administrator": _("Only an administrator changes what is said about an administrator."),
    "qualification_ends_before": _(
        "The qualification ends on {ends_on}. Record the new evidence as a qualification of its own."
    ),
    "last_administrator": _("Somebody must remain who can sign in as administrator."),
    "qualification_unknown": _("There is no such qualification."),
    # Sites and the carrier
    "site_unknown": _("There is no such site."),
    "site_code_taken": _("Another site has this code."),
    "site_code_malformed": _("A code has 1 to 24 letters, digits, points, hyphens and underscores."),
    "time_zone_unknown": _("There is no such time zone; an example is America/Chicago."),
    "usdot_not_digits": _("A USDOT number has digits only, at most 12."),
    "carrier_exists": _("The carrier is recorded already."),
    "carrier_missing": _("The carrier is not recorded yet."),
    # What the carrier decides
    "policy_key_unknown": _("There is nothing to decide under the name {key}."),
    "policy_backdated": _("A decision holds from now on or later, never from before."),
    "policy_decides_for_oneself": _(
        "It would let you lift what you repaired. Somebody else decides it, or it is set at the console."
    ),
    "policy_set_already": _("Something was decided for the same instant already."),
    "policy_not_a_flag": _("The value must be true or false."),
    "policy_not_among_choices": _("The value is none of those to choose from."),
    "policy_not_whole_in_range": _("The value must be a whole number within its range."),
    "policy_not_paper_conditions": _("The value must be lists of conditions, by kind of unit, person or carrier."),
    "policy_paper_condition_unknown": _("There is no such condition for papers."),
    "policy_not_states": _("The value must be a list of States, two letters each."),
    "policy_names_twice": _("A name appears twice in the list."),
    "policy_not_a_list_of_objects": _("The value must be a list of rules."),
    "policy_not_lead_times": _("The value must be days of lead time by kind of document."),
    "policy_document_kind_unknown": _("There is no such kind of document."),
    "policy_lead_times_not_falling": _("Days of lead fall from the longest to the shortest."),
    "policy_malformed": _("The value has not the form of this decision."),
    # Who is on call
    "webhook_unknown": _("There is no such address to post to."),
    "webhook_closed": _("This address was closed already."),
    "webhook_exists": _("The person has an address to post to; close it first."),
    "webhook_not_https": _("Notices are posted by https alone."),
    "webhook_url_malformed": _("Give a whole address with a host, without a name, a password or a fragment."),
    "on_call_unknown": _("There is no such turn."),
    "on_call_over": _("The turn would be over already."),
    "on_call_role_not_held": _("The person does not hold this role on the first day of the turn."),
    "on_call_withdrawn": _("The turn was withdrawn already."),
    # The database's own roles, told to whoever sets the service up
    "role_too_strong": _("The database role {role} owns or may do more than the web process should."),
}
CONSTRAINTS = {
    "fleet_person_username_key": "username_taken",
    "fleet_site_code_key": "site_code_taken",
    "policy_key_from_unique": "policy_set_already",
}
