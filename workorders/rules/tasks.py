"""What a task asks the person to be qualified for, by the point's system; and who therefore may lead it. Pure."""

from collections.abc import Collection, Mapping

from defects.rules.catalogue.closed_sets import System
from defects.rules.certificates import scope_to_repair
from fleet.enums import Scope

NEEDED: Mapping[str, frozenset[str]] = {
    Scope.BRAKES_REPAIR: frozenset({Scope.BRAKES_REPAIR, Scope.BRAKES_ADJUST}),
    Scope.BRAKES_ADJUST: frozenset({Scope.BRAKES_REPAIR, Scope.BRAKES_ADJUST}),
    Scope.BRAKES_INSPECT: frozenset({Scope.BRAKES_INSPECT}),
    Scope.PERIODIC_INSPECTION: frozenset({Scope.PERIODIC_INSPECTION}),
    Scope.REFRIGERANT: frozenset({Scope.REFRIGERANT}),
}
"""Scopes that a rule demands, each with the qualifications any one of which will do (49 CFR 396.19, 396.25, 40 CFR 82).

The other scopes tell the foreman whom the work suits, and refuse nobody.
"""


def scope_of(system: System | None, *, service_brake: bool) -> str:
    """The scope of work on a fault of a system; empty where nothing particular is asked or the system is not known."""
    if service_brake:
        return Scope.BRAKES_REPAIR
    return "" if system is None else scope_to_repair(system) or ""


def lacking(scope: str, held: Collection[str]) -> list[str]:
    """The qualifications of which one is needed to lead work of that scope, sorted; empty when one of them is held."""
    needed = NEEDED.get(scope, frozenset())
    return [] if not needed or needed.intersection(held) else sorted(needed)
