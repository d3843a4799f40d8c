"""What is said of people, sign-in, roles and qualifications."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet import enums

STATES: dict[str, Template] = {
    enums.PersonState.HERE: _("with the carrier"),
    enums.PersonState.LEFT: _("has left"),
}
ROLES: dict[str, Template] = {
    "any_role": _("whoever has a role here"),
    enums.Role.DRIVER: _("driver"),
    enums.Role.MECHANIC: _("mechanic"),
    enums.Role.FOREMAN: _("foreman"),
    enums.Role.COMPLIANCE: _("compliance manager"),
    enums.Role.DISPATCH: _("dispatch"),
    enums.Role.ADMINISTRATOR: _("administrator"),
    enums.Role.TRAINER: _("trainer"),
    enums.Role.AUDITOR: _("auditor"),
}
SCOPES: dict[str, Template] = {
    enums.Scope.BRAKES_INSPECT: _("inspect brakes"),
    enums.Scope.BRAKES_ADJUST: _("adjust brakes"),
    enums.Scope.BRAKES_REPAIR: _("repair brakes"),
    enums.Scope.PERIODIC_INSPECTION: _("periodic inspection"),
    enums.Scope.REFRIGERANT: _("refrigerant circuits"),
    enums.Scope.COOLING_UNIT: _("cooling units"),
    enums.Scope.TIRES: _("tires and wheels"),
    enums.Scope.FOOD_DISPOSITION: _("decide over food that may have warmed"),
    enums.Scope.UNDER_VEHICLE: _("trained to look and measure underneath"),
}
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
}
CONSTRAINTS = {"fleet_person_username_key": "username_taken"}
