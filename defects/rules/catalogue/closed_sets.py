"""The closed sets of the catalogue. Stored ones stand in `defects.enums`."""

from enum import StrEnum

from defects.enums import Leg


class AnsweredBy(StrEnum):
    """What answers a place of a walk: the driver's signature over its leg, or an answer of its own."""

    LEG = "leg"
    ONE_BY_ONE = "one_by_one"


TWO_SIDED = (Leg.TRACTOR_SIDES, Leg.TRAILER_SIDES, Leg.AXLES)
"""Along a unit: a point names one of these, and each of its places decides on which side the lap comes to it."""

CATALOGUE_LEGS = tuple(leg for leg in Leg if not leg.endswith(("_left", "_right")))
"""What a point may name."""


class PartGroup(StrEnum):
    """The eleven groups of 49 CFR 396.11(a)(1), the general duty (392.7, 396.3(a)), and what no such rule names."""

    SERVICE_BRAKES = "service_brakes"
    PARKING_BRAKE = "parking_brake"
    STEERING_MECHANISM = "steering_mechanism"
    LIGHTING_AND_REFLECTORS = "lighting_and_reflectors"
    TIRES = "tires"
    HORN = "horn"
    WINDSHIELD_WIPERS = "windshield_wipers"
    REAR_VISION_MIRRORS = "rear_vision_mirrors"
    COUPLING_DEVICES = "coupling_devices"
    WHEELS_AND_RIMS = "wheels_and_rims"
    EMERGENCY_EQUIPMENT = "emergency_equipment"
    GENERAL = "general"
    FOOD = "food"
    ENVIRONMENT = "environment"
    COMPANY = "company"


CARRIER_GROUPS = frozenset({PartGroup.FOOD, PartGroup.ENVIRONMENT, PartGroup.COMPANY})


class System(StrEnum):
    """Our own short names for the systems of a unit."""

    BRAKES = "brakes"
    AIR_SUPPLY = "air_supply"
    STEERING = "steering"
    TIRES = "tires"
    WHEELS = "wheels"
    LAMPS = "lamps"
    WIRING = "wiring"
    COUPLING = "coupling"
    FRAME = "frame"
    SUSPENSION = "suspension"
    BODY = "body"
    CAB = "cab"
    ENGINE = "engine"
    FUEL = "fuel"
    EXHAUST = "exhaust"
    EMERGENCY = "emergency"
    CARGO = "cargo"
    DOCUMENTS = "documents"
    COOLING_POWER = "cooling_power"
    COOLING_CIRCUIT = "cooling_circuit"
    AIRFLOW = "airflow"


class Subsystem(StrEnum):
    """What systems are made of: the second level of our own list, each under its `System`, the word before the dot."""

    BRAKES_ACTUATION = "brakes.actuation"
    BRAKES_FRICTION = "brakes.friction"
    BRAKES_HOSES = "brakes.hoses"
    BRAKES_PARKING = "brakes.parking"
    BRAKES_STOPPING = "brakes.stopping"
    BRAKES_ANTI_LOCK = "brakes.anti_lock"
    AIR_SUPPLY_COMPRESSOR = "air_supply.compressor"
    AIR_SUPPLY_RESERVOIRS = "air_supply.reservoirs"
    AIR_SUPPLY_VALVES = "air_supply.valves"
    AIR_SUPPLY_TRAILER_LINES = "air_supply.trailer_lines"
    STEERING_WHEEL_AND_COLUMN = "steering.wheel_and_column"
    STEERING_GEAR_AND_LINKAGE = "steering.gear_and_linkage"
    STEERING_POWER_ASSIST = "steering.power_assist"
    TIRES_TREAD = "tires.tread"
    TIRES_CASING = "tires.casing"
    TIRES_PRESSURE = "tires.pressure"
    TIRES_CHOICE = "tires.choice"
    WHEELS_RIMS_AND_NUTS = "wheels.rims_and_nuts"
    WHEELS_HUBS = "wheels.hubs"
    LAMPS_TRACTOR = "lamps.tractor"
    LAMPS_TRAILER = "lamps.trailer"
    LAMPS_REFLECTING = "lamps.reflecting"
    WIRING_TRACTOR = "wiring.tractor"
    WIRING_TRAILER = "wiring.trailer"
    COUPLING_FIFTH_WHEEL = "coupling.fifth_wheel"
    COUPLING_KINGPIN = "coupling.kingpin"
    COUPLING_ROOM = "coupling.room"
    FRAME_TRACTOR = "frame.tractor"
    FRAME_TRAILER = "frame.trailer"
    SUSPENSION_SPRINGS = "suspension.springs"
    SUSPENSION_AXLE_LOCATION = "suspension.axle_location"
    SUSPENSION_SLIDER = "suspension.slider"
    BODY_DOORS = "body.doors"
    BODY_SKIN = "body.skin"
    BODY_INTERIOR = "body.interior"
    BODY_REAR_GUARD = "body.rear_guard"
    BODY_LANDING_GEAR = "body.landing_gear"
    BODY_OUTSIDE = "body.outside"
    BODY_HANDOVER = "body.handover"
    CAB_VIEW = "cab.view"
    CAB_CONTROLS = "cab.controls"
    CAB_ENTRY_AND_SEATS = "cab.entry_and_seats"
    ENGINE_FLUIDS = "engine.fluids"
    ENGINE_BELTS = "engine.belts"
    ENGINE_WARNINGS = "engine.warnings"
    ENGINE_DRIVELINE = "engine.driveline"
    FUEL_TRACTOR = "fuel.tractor"
    FUEL_COOLING_UNIT = "fuel.cooling_unit"
    EXHAUST_TRACTOR = "exhaust.tractor"
    EXHAUST_COOLING_UNIT = "exhaust.cooling_unit"
    EMERGENCY_FIRE = "emergency.fire"
    EMERGENCY_WARNING_DEVICES = "emergency.warning_devices"
    CARGO_SECUREMENT = "cargo.securement"
    CARGO_SEAL = "cargo.seal"
    DOCUMENTS_ABOARD = "documents.aboard"
    DOCUMENTS_IDENTITY = "documents.identity"
    COOLING_POWER_ENGINE = "cooling_power.engine"
    COOLING_POWER_FUEL_LEVEL = "cooling_power.fuel_level"
    COOLING_POWER_ELECTRICS = "cooling_power.electrics"
    COOLING_POWER_HOUSING = "cooling_power.housing"
    COOLING_CIRCUIT_REFRIGERANT = "cooling_circuit.refrigerant"
    COOLING_CIRCUIT_SETTINGS = "cooling_circuit.settings"
    COOLING_CIRCUIT_DEFROST = "cooling_circuit.defrost"
    COOLING_CIRCUIT_CONTROLS = "cooling_circuit.controls"
    COOLING_CIRCUIT_RECORDS = "cooling_circuit.records"
    AIRFLOW_DELIVERY = "airflow.delivery"
    AIRFLOW_RETURN = "airflow.return"
    AIRFLOW_COMPARTMENTS = "airflow.compartments"


COOLING_SYSTEMS = frozenset({System.COOLING_POWER, System.COOLING_CIRCUIT, System.AIRFLOW})


class PlaceType(StrEnum):
    """Where a point is answered: once, per axle, wheel end, tire or pair of duals, or at listed positions."""

    UNIT = "unit"
    AXLE = "axle"
    WHEEL_END = "wheel_end"
    TIRE = "tire"
    DUAL_PAIR = "dual_pair"
    POSITION = "position"


AXLE_PLACE_TYPES = frozenset({PlaceType.AXLE, PlaceType.WHEEL_END, PlaceType.TIRE, PlaceType.DUAL_PAIR})


class Who(StrEnum):
    """Whose word counts at a point that all is well."""

    DRIVER = "driver"
    DRIVER_WITH_HELPER = "driver_with_helper"
    MECHANIC = "mechanic"


class UnitOfMeasure(StrEnum):
    """The units of measure a value may come in."""

    INCH = "in"
    TREAD_32NDS = "32nds"
    FOOT = "ft"
    PSI = "psi"
    PSI_PER_MINUTE = "psi_per_min"
    SECOND = "s"
    MINUTE = "min"
    PERCENT = "percent"
    COUNT = "count"
    GALLON = "gal"
    POUND = "lb"
    VOLT = "V"
    FAHRENHEIT = "degF"


class FailsWhen(StrEnum):
    """`outside` needs both bounds and lets both pass."""

    ABOVE = "above"
    AT_OR_ABOVE = "at_or_above"
    BELOW = "below"
    AT_OR_BELOW = "at_or_below"
    OUTSIDE = "outside"


class WhenUnknown(StrEnum):
    """What a limit does if a fact its clause asks for is not known."""

    FLAG = "flag"
    APPLIES = "applies"
    SKIPPED = "skipped"


class RuleKind(StrEnum):
    """Whether a limit or grade is a regulation's or the carrier's own."""

    REGULATION = "regulation"
    CARRIER = "carrier"


class Basis(StrEnum):
    """How the source of a figure is known: read, from memory, common practice without a source, our own default."""

    READ = "read"
    MEMORY = "memory"
    PRACTICE = "practice"
    OWN = "own"


class Language(StrEnum):
    """The languages every text exists in."""

    ENGLISH = "en"
    SPANISH = "es"


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
