"""What people read for fleet's code words: states, kinds of unit and document, meters, roles. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from fleet.enums import (
    CouplingState,
    DocumentRecordState,
    HoldState,
    InspectionProgram,
    MeterKind,
    MountingState,
    PersonState,
    Role,
    Scope,
    SignatureMethod,
    SiteState,
    UnitKind,
    UnitState,
)
from fleet.messages.reminders import KIND_NAMES

STATES: dict[str, Template] = {
    UnitState.IN_SERVICE: _("in service"),
    UnitState.RETIRED: _("retired"),
    CouplingState.COUPLED: _("coupled"),
    MountingState.MOUNTED: _("mounted"),
    CouplingState.ENDED: _("ended"),
    HoldState.ACTIVE: _("active"),
    DocumentRecordState.CURRENT: _("current"),
    DocumentRecordState.SUPERSEDED: _("superseded"),
    PersonState.HERE: _("with the carrier"),
    PersonState.LEFT: _("has left"),
    SiteState.OPEN: _("open"),
    SiteState.CLOSED: _("closed"),
}
UNIT_KINDS: dict[str, Template] = {
    UnitKind.TRACTOR: _("tractor"),
    UnitKind.TRAILER: _("trailer"),
    UnitKind.COOLING_UNIT: _("cooling unit"),
}
METER_KINDS: dict[str, Template] = {
    MeterKind.ODOMETER_MI: _("odometer, miles"),
    MeterKind.ENGINE_H: _("engine hours"),
    MeterKind.STANDBY_H: _("standby hours"),
}
ROLES: dict[str, Template] = {
    Role.DRIVER: _("driver"),
    Role.MECHANIC: _("mechanic"),
    Role.FOREMAN: _("foreman"),
    Role.COMPLIANCE: _("compliance manager"),
    Role.DISPATCH: _("dispatch"),
    Role.ADMINISTRATOR: _("administrator"),
    Role.TRAINER: _("trainer"),
    Role.AUDITOR: _("auditor"),
}
SCOPES: dict[str, Template] = {
    Scope.BRAKES_INSPECT: _("inspect brakes"),
    Scope.BRAKES_ADJUST: _("adjust brakes"),
    Scope.BRAKES_REPAIR: _("repair brakes"),
    Scope.PERIODIC_INSPECTION: _("periodic inspection"),
    Scope.REFRIGERANT: _("refrigerant circuits"),
    Scope.COOLING_UNIT: _("cooling units"),
    Scope.TIRES: _("tires and wheels"),
    Scope.FOOD_DISPOSITION: _("decide over food that may have warmed"),
    Scope.UNDER_VEHICLE: _("trained to look and measure underneath"),
}
INSPECTION_PROGRAMS: dict[str, Template] = {
    InspectionProgram.SELF: _("by the carrier"),
    InspectionProgram.AGENT: _("by an agent"),
    InspectionProgram.STATE: _("under a State program"),
}
SIGNATURE_METHODS: dict[str, Template] = {
    SignatureMethod.DRAWN: _("drawn on the screen"),
    SignatureMethod.TYPED: _("typed name"),
    SignatureMethod.CODE: _("personal code"),
    SignatureMethod.PAPER: _("paper, captured"),
    SignatureMethod.OTHER: _("in another way"),
}

WORDS: Words = {
    "state": STATES,
    "known_kind": UNIT_KINDS,
    "meter": METER_KINDS,
    "kind": KIND_NAMES,
    "roles": {"any_role": _("whoever has a role here"), **ROLES},
    "needs": SCOPES,
}
