"""What the rules are told of a unit, of the surroundings and of who answers. None always means not known."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Self

from defects.enums import Form, WalkaroundKind
from fleet.enums import AxleRole, UnitKind

KIND_OF_FORM: Mapping[Form, WalkaroundKind] = {
    Form.DAILY: WalkaroundKind.PRE_TRIP,
    Form.FULL: WalkaroundKind.PRE_TRIP,
    Form.SEALED: WalkaroundKind.PRE_TRIP,
    Form.PICK_UP: WalkaroundKind.PICK_UP,
    Form.DROP: WalkaroundKind.DROP,
    Form.EN_ROUTE: WalkaroundKind.EN_ROUTE,
    Form.POST_TRIP: WalkaroundKind.POST_TRIP,
}
"""The walk-around that each form is for. A form is what is asked for; a report's kind says when it was done.

By its `walks` a point says on which kinds of walk-around it is asked, and by `often` on which of their forms.
"""

FORM_OF_KIND: Mapping[WalkaroundKind, Form] = {kind: form for form, kind in reversed(tuple(KIND_OF_FORM.items()))}
"""The form of a report that names none."""

CATALOGUE_WALKS = tuple(FORM_OF_KIND)
"""The kinds of walk-around that there are points for; `other` is what was sent and is none of them."""


@dataclass(frozen=True, slots=True)
class AxleFacts:
    """One axle, numbered from 1 at the front of its own unit. `role` steer, drive or trailer; pressures in psi, cold.

    `brake_type` drum or disc; `actuator` clamp, bolt, rotochamber, dd_3 or other; `chamber_type` "6" to "50", or "A"
    to "G" for bolt; `stroke_class` standard, long or long_3_in, for clamp alone; `rated_stroke_in` and
    `marked_limit_in` as marked on the actuator; `lining` one_strip or two_pads; `drum_limit_in` the largest
    diameter and `rotor_limit_in` the least thickness, as marked on them. `load_psi` is what the tires need for the load
    carried, `tire_rating_lb` what each of them may carry.
    """

    number: int
    role: str
    dual: bool
    brake_type: str | None = None
    actuator: str = "clamp"
    chamber_type: str | None = None
    stroke_class: str | None = None
    rated_stroke_in: Decimal | None = None
    marked_limit_in: Decimal | None = None
    lining: str | None = None
    drum_limit_in: Decimal | None = None
    rotor_limit_in: Decimal | None = None
    tire_size: str | None = None
    target_psi: Decimal | None = None
    max_psi: Decimal | None = None
    load_psi: Decimal | None = None
    tire_rating_lb: Decimal | None = None


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """One unit. `kind` tractor, trailer or cooling_unit. No axles at all means that they are not recorded yet.

    The governor's pressures are the maker's: the lowest cut-in and the highest cut-out. What is `ordered` of a cooling
    unit is in the order of the load in its trailer, or of the one planned for it. `least_air_drop_f` is learned of a
    cooling unit: the least that return minus supply is to be expected of one further reading (95 %).
    """

    kind: str
    axles: tuple[AxleFacts, ...] = ()
    steering_wheel_diameter_in: Decimal | None = None
    steering_assist: str | None = None
    governor_cut_in_psi: Decimal | None = None
    governor_cut_out_psi: Decimal | None = None
    tank_gal: Decimal | None = None
    slider_pins: Decimal | None = None
    floor_drains: Decimal | None = None
    ordered_setpoint_f: Decimal | None = None
    ordered_lowest_f: Decimal | None = None
    ordered_highest_f: Decimal | None = None
    least_air_drop_f: Decimal | None = None
    built_on: date | None = None
    model_year: int | None = None

    def axle(self, number: int) -> AxleFacts | None:
        for axle in self.axles:
            if axle.number == number:
                return axle
        return None


USUAL_AXLES = {UnitKind.TRACTOR: 3, UnitKind.TRAILER: 2}
"""Of a unit whose axles nobody recorded or counted; common practice, no source."""


def assumed_axles(kind: str, counted: int | None = None) -> tuple[AxleFacts, ...]:
    """As many axles as a driver counted, or the usual ones: a tractor's first steers, every other has duals."""
    usual = USUAL_AXLES.get(UnitKind(kind))
    if usual is None:
        return ()
    role = AxleRole.DRIVE if kind == UnitKind.TRACTOR else AxleRole.TRAILER
    steers = kind == UnitKind.TRACTOR
    return tuple(
        AxleFacts(number, AxleRole.STEER, dual=False) if steers and number == 1 else AxleFacts(number, role, dual=True)
        for number in range(1, (counted or usual) + 1)
    )


@dataclass(frozen=True, slots=True)
class Conditions:
    """The surroundings of one walk-around. `raining` includes snow; `fuel_needed_gal` is what the trip ahead needs.

    `form` is what the phone listed; without one it is the form of the kind of walk.
    """

    night: bool | None = None
    raining: bool | None = None
    loaded: bool | None = None
    cold_load: bool | None = None
    coupled: bool | None = None
    walk_kind: str | None = None
    form: str | None = None
    fuel_needed_gal: Decimal | None = None

    @property
    def walked_by(self) -> Form | None:
        """The form that was walked by; None for a walk-around of no kind that there is."""
        if self.form is not None:
            return Form(self.form)
        return None if self.walk_kind is None else FORM_OF_KIND.get(WalkaroundKind(self.walk_kind))

    @classmethod
    def of(cls, stored: Mapping[str, Any]) -> Self:
        """The same out of JSON, where a decimal is a text."""
        fuel = stored.get("fuel_needed_gal")
        return cls(**{**stored, "fuel_needed_gal": None if fuel is None else Decimal(fuel)})


@dataclass(frozen=True, slots=True)
class Observer:
    """Who answered: `qualified` holds the qualification this point asks for, `trained` may look underneath."""

    roles: frozenset[str] = frozenset()
    qualified: bool = False
    trained: bool = False
