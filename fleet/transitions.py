"""What may be done with what the carrier owns and with its files: from which state, and by whom."""

from common.transitions import SYSTEM, Transition, TransitionTable, staying
from fleet.enums import (
    CouplingState,
    DeliveryState,
    DocumentRecordState,
    HoldState,
    MountingState,
    PersonState,
    Role,
    SiteState,
    UnitState,
)

_OFFICE = frozenset({Role.ADMINISTRATOR, Role.COMPLIANCE})
_YARD = frozenset({Role.ADMINISTRATOR, Role.DISPATCH, Role.DRIVER, Role.FOREMAN, Role.TRAINER})
_SHOP = frozenset({Role.ADMINISTRATOR, Role.FOREMAN, Role.MECHANIC})
_ADMINISTRATOR = frozenset({Role.ADMINISTRATOR})

UNIT = TransitionTable(
    "unit",
    (
        *staying("edit", (UnitState.IN_SERVICE,), _OFFICE | {Role.FOREMAN}),
        Transition("retire", frozenset({UnitState.IN_SERVICE}), UnitState.RETIRED, _OFFICE, ("retired_on", "reason")),
    ),
    initial=UnitState.IN_SERVICE,
)
THIRD_PARTY_UNIT = TransitionTable(
    "third-party unit",
    (
        # Dispatch takes over a third-party unit with its plate, its owner and its documents.
        *staying("edit", (UnitState.IN_SERVICE,), _OFFICE | {Role.FOREMAN, Role.DISPATCH}),
        Transition("retire", frozenset({UnitState.IN_SERVICE}), UnitState.RETIRED, _OFFICE, ("retired_on", "reason")),
    ),
    initial=UnitState.IN_SERVICE,
)
COUPLING = TransitionTable(
    "coupling",
    (Transition("uncouple", frozenset({CouplingState.COUPLED}), CouplingState.ENDED, _YARD, ("ended_at",)),),
    initial=CouplingState.COUPLED,
)
MOUNTING = TransitionTable(
    "mounting",
    (Transition("dismount", frozenset({MountingState.MOUNTED}), MountingState.ENDED, _SHOP, ("ended_at",)),),
    initial=MountingState.MOUNTED,
)
DOCUMENT = TransitionTable(
    "document",
    (
        *staying("edit", (DocumentRecordState.CURRENT,), _OFFICE | {Role.FOREMAN, Role.DISPATCH}),
        Transition(
            "replace",
            frozenset({DocumentRecordState.CURRENT}),
            DocumentRecordState.SUPERSEDED,
            _OFFICE | {Role.FOREMAN, Role.DISPATCH},
        ),
    ),
    initial=DocumentRecordState.CURRENT,
)
PERSON = TransitionTable(
    "person",
    (
        *staying("edit", (PersonState.HERE,), _OFFICE | {Role.FOREMAN}),
        *staying("set_password", (PersonState.HERE,), _ADMINISTRATOR, ("password",)),
        *staying("grant_role", (PersonState.HERE,), _ADMINISTRATOR, ("role", "starts_on")),
        Transition("leave", frozenset({PersonState.HERE}), PersonState.LEFT, _ADMINISTRATOR, ("left_on",)),
    ),
    initial=PersonState.HERE,
)
SITE = TransitionTable(
    "site",
    (
        *staying("edit", (SiteState.OPEN,), _ADMINISTRATOR),
        Transition("close", frozenset({SiteState.OPEN}), SiteState.CLOSED, _ADMINISTRATOR, ("closed_on",)),
    ),
    initial=SiteState.OPEN,
)
LEGAL_HOLD = TransitionTable(
    "legal_hold",
    (Transition("lift", frozenset({HoldState.ACTIVE}), HoldState.LIFTED, _OFFICE, ("reason",)),),
    initial=HoldState.ACTIVE,
)
_BY_ITSELF = frozenset({SYSTEM})
DELIVERY = TransitionTable(
    "delivery",
    (
        # A message that left has left, whatever another worker noted of it meanwhile.
        Transition(
            "send",
            frozenset({DeliveryState.PENDING, DeliveryState.PARKED, DeliveryState.DROPPED}),
            DeliveryState.SENT,
            _BY_ITSELF,
        ),
        *staying("put_off", (DeliveryState.PENDING,), _BY_ITSELF),
        Transition("park", frozenset({DeliveryState.PENDING, DeliveryState.PARKED}), DeliveryState.PARKED, _BY_ITSELF),
        Transition("drop", frozenset({DeliveryState.PENDING, DeliveryState.PARKED}), DeliveryState.DROPPED, _BY_ITSELF),
        Transition("retry", frozenset({DeliveryState.PARKED}), DeliveryState.PENDING, _ADMINISTRATOR),
    ),
    states=DeliveryState,
    initial=DeliveryState.PENDING,
)
TABLES = (UNIT, THIRD_PARTY_UNIT, COUPLING, MOUNTING, DOCUMENT, PERSON, SITE, LEGAL_HOLD, DELIVERY)
