"""The closed vocabulary of how a point is answered: by what method, with what, under which preconditions, how often."""

from enum import StrEnum


class Method(StrEnum):
    """How a point is answered."""

    LOOK = "look"
    FEEL = "feel"
    LISTEN = "listen"
    OPERATE = "operate"
    READ = "read"
    COUNT = "count"
    MEASURE = "measure"
    TIMED_TEST = "timed_test"
    ROAD_TEST = "road_test"


class Tool(StrEnum):
    """What a person needs in hand."""

    FLASHLIGHT = "flashlight"
    TREAD_GAUGE = "tread_gauge"
    PRESSURE_GAUGE = "pressure_gauge"
    RULER = "ruler"
    TAPE_MEASURE = "tape_measure"
    LINING_GAUGE = "lining_gauge"
    CHALK = "chalk"
    STOPWATCH = "stopwatch"
    HAND_PROBE = "hand_probe"
    ICE_BATH = "ice_bath"
    VOLTMETER = "voltmeter"
    SCALE = "scale"
    WHEEL_CHOCKS = "wheel_chocks"
    PRY_BAR = "pry_bar"


class Precondition(StrEnum):
    """What must hold before a point can be answered."""

    LEVEL_GROUND = "level_ground"
    WHEELS_CHOCKED = "wheels_chocked"
    PARKING_BRAKE_SET = "parking_brake_set"
    PARKING_BRAKE_RELEASED = "parking_brake_released"
    TRAILER_BRAKES_SET = "trailer_brakes_set"
    ENGINE_OFF = "engine_off"
    ENGINE_RUNNING = "engine_running"
    IGNITION_ON = "ignition_on"
    LAMPS_ON = "lamps_on"
    DAYLIGHT = "daylight"
    AIR_80_TO_90_PSI = "air_80_to_90_psi"
    AIR_FULL = "air_full"
    TIRES_COLD = "tires_cold"
    AFTER_A_RUN = "after_a_run"
    CLEAR_ROAD_AHEAD = "clear_road_ahead"
    COUPLED = "coupled"
    UNCOUPLED = "uncoupled"
    TRAILER_EMPTY = "trailer_empty"
    FUEL_FULL = "fuel_full"
    DOORS_OPEN = "doors_open"
    DOORS_SHUT = "doors_shut"
    HELPER_OUTSIDE = "helper_outside"
    COOLING_UNIT_OFF = "cooling_unit_off"
    COOLING_UNIT_ISOLATED = "cooling_unit_isolated"
    COOLING_UNIT_RUNNING = "cooling_unit_running"
    FULL_COOLING = "full_cooling"
    BOX_WELL_ABOVE_SETPOINT = "box_well_above_setpoint"
    AT_REST_TWO_HOURS = "at_rest_two_hours"


class HowOften(StrEnum):
    """How often a point is due."""

    EVERY_WALK = "every_walk"
    ROTATING = "rotating"
    WEEKLY = "weekly"
    AT_SERVICE = "at_service"
