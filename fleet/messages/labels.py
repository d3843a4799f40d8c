"""What people read for fleet's code words: states, kinds of unit and document, meters, roles. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from fleet import enums
from fleet.messages.reminders import KIND_NAMES

STATES: dict[str, Template] = {
    enums.UnitState.IN_SERVICE: _("in service"),
    enums.UnitState.RETIRED: _("retired"),
    enums.CouplingState.COUPLED: _("coupled"),
    enums.MountingState.MOUNTED: _("mounted"),
    enums.CouplingState.ENDED: _("ended"),
    enums.HoldState.ACTIVE: _("active"),
    enums.DocumentRecordState.CURRENT: _("current"),
    enums.DocumentRecordState.SUPERSEDED: _("superseded"),
    enums.PersonState.HERE: _("with the carrier"),
    enums.PersonState.LEFT: _("has left"),
    enums.SiteState.OPEN: _("open"),
    enums.SiteState.CLOSED: _("closed"),
    enums.DeliveryState.PENDING: _("pending"),
    enums.DeliveryState.PARKED: _("parked"),
    enums.DeliveryState.SENT: _("sent"),
    enums.DeliveryState.DROPPED: _("dropped"),
}
UNIT_KINDS: dict[str, Template] = {
    enums.UnitKind.TRACTOR: _("tractor"),
    enums.UnitKind.TRAILER: _("trailer"),
    enums.UnitKind.COOLING_UNIT: _("cooling unit"),
}
METER_KINDS: dict[str, Template] = {
    enums.MeterKind.ODOMETER_MI: _("odometer, miles"),
    enums.MeterKind.ENGINE_H: _("engine hours"),
    enums.MeterKind.STANDBY_H: _("standby hours"),
}
LOCATIONS: dict[str, Template] = {
    enums.Location.SITE: _("our site"),
    enums.Location.CUSTOMER: _("a customer's"),
    enums.Location.DEALER: _("a dealer's"),
    enums.Location.TOW_YARD: _("a tow yard"),
    enums.Location.ROADSIDE: _("the roadside"),
    enums.Location.UNDER_WAY: _("under way"),
}
RUNNING_MODES: dict[str, Template] = {
    enums.RunningMode.OFF: _("off"),
    enums.RunningMode.CONTINUOUS: _("continuous"),
    enums.RunningMode.CYCLING: _("start-stop"),
}
ROLES: dict[str, Template] = {
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
INSPECTION_PROGRAMS: dict[str, Template] = {
    enums.InspectionProgram.SELF: _("by the carrier"),
    enums.InspectionProgram.AGENT: _("by an agent"),
    enums.InspectionProgram.STATE: _("under a State program"),
}
SIGNATURE_METHODS: dict[str, Template] = {
    enums.SignatureMethod.DRAWN: _("drawn on the screen"),
    enums.SignatureMethod.TYPED: _("typed name"),
    enums.SignatureMethod.CODE: _("personal code"),
    enums.SignatureMethod.PAPER: _("paper, captured"),
    enums.SignatureMethod.OTHER: _("in another way"),
}

WORDS: Words = {
    "state": STATES,
    "known_kind": UNIT_KINDS,
    "meter": METER_KINDS,
    "location": LOCATIONS,
    "mode": RUNNING_MODES,
    "kind": KIND_NAMES,
    "roles": {"any_role": _("whoever has a role here"), **ROLES},
    "needs": SCOPES,
}
