"""Which qualification a system asks for, to judge a fault of it and to repair it. Pure."""

from collections.abc import Mapping

from defects.rules.catalogue.closed_sets import System
from fleet.enums import Scope

SCOPES_OF_SYSTEM: Mapping[System, tuple[Scope | None, Scope]] = {
    System.BRAKES: (Scope.BRAKES_INSPECT, Scope.BRAKES_REPAIR),
    System.AIR_SUPPLY: (None, Scope.BRAKES_REPAIR),
    System.COOLING_CIRCUIT: (Scope.REFRIGERANT, Scope.REFRIGERANT),
    System.COOLING_POWER: (Scope.COOLING_UNIT, Scope.COOLING_UNIT),
    System.TIRES: (None, Scope.TIRES),
    System.WHEELS: (None, Scope.TIRES),
}
"""To judge, where a mechanic's role alone does not do, and to repair; a system that is not here asks for nothing.

The air supply is part of the brakes (49 CFR part 393, subpart C), so its repair asks for the same people.
"""


def scope_to_judge(system: System) -> Scope | None:
    """What judging a fault of a system asks for."""
    return SCOPES_OF_SYSTEM.get(system, (None, None))[0]


def scope_to_repair(system: System) -> Scope | None:
    """What repairing a fault of a system asks for."""
    return SCOPES_OF_SYSTEM.get(system, (None, None))[1]
