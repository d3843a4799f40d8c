"""The share of defective service brakes in a combination, counted in whole numbers. Judges no single brake."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

ONE_OF = 5
"""20 per cent, stated publicly as "equal to or greater than": one brake of five, compared without a fraction."""

SLIGHTLY_OVER_IN = Decimal("0.25")
"""From so many inches past its limit a brake counts in full by the public adjustment practice; below it by half."""


@dataclass(frozen=True, slots=True)
class BrakeFault:
    """One defect that counts as a defective service brake. Faults at one place of one unit are one brake.

    `over_in` is how far a stroke is past its limit, in inches; None for every other defect of a brake.
    """

    unit: str
    place: str
    over_in: Decimal | None = None
    steering_axle: bool = False


def defective_brakes(faults: Iterable[BrakeFault], *, half_counts: bool = False) -> int:
    """How many brakes count as defective.

    With `half_counts` two brakes less than 1/4 in past their limit count as one and an odd one left over does not
    count (a truck maker's service manual quoting the public adjustment practice, read; the odd one from memory).
    Without, every brake past its limit counts: the stricter reading.
    """
    slightly: dict[tuple[str, str], bool] = {}
    for fault in faults:
        brake = (fault.unit, fault.place)
        slight = half_counts and fault.over_in is not None and fault.over_in < SLIGHTLY_OVER_IN
        slightly[brake] = slight and slightly.get(brake, True)
    halves = sum(slightly.values())
    return len(slightly) - halves + halves // 2


def reaches_share(defective: int, brakes: int) -> bool:
    """Whether so many defective of so many service brakes are 20 per cent or more; none defective never are."""
    return defective > 0 and ONE_OF * defective >= brakes


def steering_axle_alone(faults: Iterable[BrakeFault]) -> bool:
    """Whether a steering axle's brake is among them: certain such defects put a vehicle out of service alone (read).

    Which ones is in a licensed handbook that was not read, so every one of them counts here.
    """
    return any(fault.steering_axle for fault in faults)
