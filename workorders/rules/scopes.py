"""What a task asks the person to be qualified for, by the point's system; and who therefore may lead it. Pure."""

from collections.abc import Collection, Mapping

from defects.rules.vocabulary import System

BRAKES_REPAIR, BRAKES_ADJUST = "brakes_repair", "brakes_adjust"
BRAKES_INSPECT, PERIODIC_INSPECTION = "brakes_inspect", "periodic_inspection"
REFRIGERANT, COOLING_UNIT, TIRES = "refrigerant", "cooling_unit", "tires"

SCOPE_OF_SYSTEM: Mapping[System, str] = {
    System.BRAKES: BRAKES_REPAIR,
    System.AIR_SUPPLY: BRAKES_REPAIR,
    System.COOLING_CIRCUIT: REFRIGERANT,
    System.COOLING_POWER: COOLING_UNIT,
    System.TIRES: TIRES,
    System.WHEELS: TIRES,
}
"""The air supply is part of the brakes (49 CFR part 393, subpart C), so it asks for the same people."""

ASKED: Mapping[str, frozenset[str]] = {
    BRAKES_REPAIR: frozenset({BRAKES_REPAIR, BRAKES_ADJUST}),
    BRAKES_ADJUST: frozenset({BRAKES_REPAIR, BRAKES_ADJUST}),
    BRAKES_INSPECT: frozenset({BRAKES_INSPECT}),
    PERIODIC_INSPECTION: frozenset({PERIODIC_INSPECTION}),
    REFRIGERANT: frozenset({REFRIGERANT}),
}
"""Scopes that a rule demands, each with the qualifications any one of which will do (49 CFR 396.19, 396.25, 40 CFR 82).

The other scopes tell the foreman whom the work suits, and refuse nobody.
"""


def scope_of(system: System | None, *, service_brake: bool) -> str:
    """The scope of work on a fault of a system; empty where nothing particular is asked or the system is not known."""
    if service_brake:
        return BRAKES_REPAIR
    return "" if system is None else SCOPE_OF_SYSTEM.get(system, "")


def lacking(scope: str, held: Collection[str]) -> list[str]:
    """The qualifications of which one is needed to lead work of that scope, sorted; empty when one of them is held."""
    needed = ASKED.get(scope, frozenset())
    return [] if not needed or needed.intersection(held) else sorted(needed)
