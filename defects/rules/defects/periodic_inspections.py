"""Which open faults a periodic inspection may not be passed with. Reads no document and refuses none."""

from defects.enums import Authority, Severity
from defects.rules.catalogue.closed_sets import System

APPENDIX_A_SYSTEMS = frozenset(
    {
        System.BRAKES,
        System.AIR_SUPPLY,
        System.COUPLING,
        System.EXHAUST,
        System.FUEL,
        System.LAMPS,
        System.CARGO,
        System.STEERING,
        System.SUSPENSION,
        System.FRAME,
        System.TIRES,
        System.WHEELS,
        System.CAB,
        System.BODY,
    }
)
"""Our systems that hold parts of appendix A to 49 CFR part 396: glazing and wipers are in the cab, the rear impact
guard is in the body. A system holds more than the appendix names, so a fault here asks for a look and no more."""


def speaks_against_passing(system: System | None, authority: Authority, severity: Severity) -> bool:
    """Whether an open fault speaks against an inspection that every part must pass (49 CFR 396.17(c), 396.21(a)(5)).

    `system` None: told in free text, so that nobody can say it is of no such part.
    """
    if severity not in {Severity.DO_NOT_MOVE, Severity.BEFORE_NEXT_USE}:
        return False
    return system is None or (authority is Authority.STATUTORY and system in APPENDIX_A_SYSTEMS)
