"""What sentences show for fleet's code words: states, kinds of unit and paper, meters, roles. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from fleet.enums import MeterKind, Role, UnitKind
from fleet.messages.reminders import KIND_NAMES

STATES: dict[str, Template] = {
    "in_service": _("in service"),
    "retired": _("retired"),
    "coupled": _("coupled"),
    "mounted": _("mounted"),
    "ended": _("ended"),
    "standing": _("standing"),
    "replaced": _("replaced"),
    "here": _("with the carrier"),
    "left": _("has left"),
    "open": _("open"),
    "closed": _("closed"),
}

WORDS: Words = {
    "state": STATES,
    "known_kind": {str(kind): kind.label for kind in UnitKind},
    "meter": {str(meter): meter.label for meter in MeterKind},
    "kind": KIND_NAMES,
    "roles": {"any_role": _("whoever has a role here"), **{str(role): role.label for role in Role}},
}
