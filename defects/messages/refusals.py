"""What is said of drivers' refusals of a unit, and of second looks."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

STATES: dict[str, Template] = {
    enums.RefusalState.WAITING: _("waiting"),
    enums.RefusalState.LOOKED_AT: _("looked at by a second qualified person"),
}
MESSAGES: Messages = {
    "refusal_unknown": _("There is no such refusal, or you may not see it."),
    "refusal_differs": _("A different refusal exists under this key. Nothing was changed."),
    "not_qualified_to_look": _("You are not qualified for this second look: {needs}."),
    "firm_confirmed_first": _("Somebody else must confirm {firm} before its look counts."),
    "second_person_looks": _("A qualified person other than the one who refused must look."),
    "looked_before_refusal": _("The unit was refused later, {refused_at}."),
    # In a unit's history
    "history_unit_refused": _("A driver refused the unit: {reason}"),
    "history_look_link_made": _("A link for a second look was made, good until {expires_at}."),
    "history_second_look": _("A second person looked: {found}"),
    # Notifications
    # Facts: unit, reason, at; refused_by where it is said.
    "refusal_by_driver": _(
        "{refused_by} refused unit {unit}, {at}: {reason}. Do not offer it until a second qualified person "
        "has looked. Nobody may be pressed or punished for a refusal."
    ),
    "refusal_by_driver_subject": _("Unit {unit} was refused"),
    "refusal_of_unit": _(
        "A driver refused unit {unit}, {at}: {reason}. Do not offer it until a second qualified person has "
        "looked. Nobody may be pressed or punished for a refusal."
    ),
    "refusal_of_unit_subject": _("Unit {unit} was refused"),
    # Facts: unit, looked_by, found, at.
    "second_look_done": _(
        "{looked_by} looked at refused unit {unit}, {at}: {found}. Request clearance before it rolls."
    ),
    "second_look_done_subject": _("A second person looked at unit {unit}"),
}
