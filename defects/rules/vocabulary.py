"""The closed vocabularies of the catalogue and of verdicts, as plain text values. Holds no rule and no sentence."""

from enum import StrEnum


class Severity(StrEnum):
    """Mildest first; `severity.rank` gives the order."""

    WATCH = "watch"
    NEXT_SHOP_VISIT = "next_shop_visit"
    BEFORE_NEXT_USE = "before_next_use"
    DO_NOT_MOVE = "do_not_move"


class Bars(StrEnum):
    """What a finding keeps a unit from, least first."""

    NOTHING = "nothing"
    COLD_FREIGHT = "cold_freight"
    FOOD = "food"
    MOVEMENT = "movement"


class Listing(StrEnum):
    """Why a finding is on the certified list of 49 CFR 396.11(a)(2)(i), or that it is noted for the shop beside it.

    The list holds what would affect the safety of operation of the vehicle or result in its mechanical breakdown.
    """

    SAFETY = "safety"
    BREAKDOWN = "breakdown"
    REGULATION = "regulation"
    DRIVER = "driver"
    UNGRADED = "ungraded"
    FOREMAN = "foreman"
    OFFICER = "officer"
    NOTED = "noted"


CATALOGUE_LISTINGS = frozenset({Listing.SAFETY, Listing.BREAKDOWN, Listing.NOTED})
"""What the catalogue may say of a finding; the others follow from who found or graded it."""

FREIGHT = frozenset({Bars.COLD_FREIGHT, Bars.FOOD})
"""What keeps some freight off and never bars movement: `food` is every load of food, cold or dry."""


class Answer(StrEnum):
    """What a person says at a point."""

    FINE = "fine"
    DEFECT = "defect"
    CORRECTED = "corrected"
    NOT_APPLICABLE = "not_applicable"
    NOT_REACHED = "not_reached"


class Outcome(StrEnum):
    """What the rules make of an answer."""

    FINE = "fine"
    FINDING = "finding"
    CORRECTED = "corrected"
    NOT_APPLICABLE = "not_applicable"
    NOT_REACHED = "not_reached"
    QUERIED = "queried"


class AnsweredBy(StrEnum):
    """What answers a place of a walk: the driver's signature over its leg, or an answer of its own."""

    LEG = "leg"
    ONE_BY_ONE = "one_by_one"


class NotReached(StrEnum):
    """Why a point was not looked at."""

    SEALED = "sealed"
    DARK = "dark"
    NO_HELPER = "no_helper"
    WEATHER = "weather"
    BLOCKED = "blocked"
    OTHER = "other"


class UnitKind(StrEnum):
    """The kinds of unit."""

    TRACTOR = "tractor"
    TRAILER = "trailer"
    COOLING_UNIT = "cooling_unit"


class WalkKind(StrEnum):
    """The kinds of walk-around."""

    PRE_TRIP = "pre_trip"
    EN_ROUTE = "en_route"
    POST_TRIP = "post_trip"
    PICK_UP = "pick_up"
    DROP = "drop"


class Standing(StrEnum):
    """A statutory point belongs to the driver vehicle inspection report; a carrier point is recorded beside it."""

    STATUTORY = "statutory"
    CARRIER = "carrier"


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
    COOLING_POWER = "cooling_power"
    COOLING_CIRCUIT = "cooling_circuit"
    AIRFLOW = "airflow"


COOLING_SYSTEMS = frozenset({System.COOLING_POWER, System.COOLING_CIRCUIT, System.AIRFLOW})


class Leg(StrEnum):
    """The twelve legs of the walk, in the order of the walk."""

    APPROACH = "approach"
    ENGINE_BAY = "engine_bay"
    CAB = "cab"
    BRAKE_TESTS = "brake_tests"
    TRACTOR_FRONT = "tractor_front"
    TRACTOR_SIDES = "tractor_sides"
    COUPLING = "coupling"
    COOLING_UNIT = "cooling_unit"
    TRAILER_SIDES = "trailer_sides"
    AXLES = "axles"
    TRAILER_REAR = "trailer_rear"
    INSIDE_BOX = "inside_box"


class PlaceType(StrEnum):
    """Where a point is answered: once, per axle, wheel end, tire or pair of duals, or at listed positions."""

    UNIT = "unit"
    AXLE = "axle"
    WHEEL_END = "wheel_end"
    TIRE = "tire"
    DUAL_PAIR = "dual_pair"
    POSITION = "position"


AXLE_PLACE_TYPES = frozenset({PlaceType.AXLE, PlaceType.WHEEL_END, PlaceType.TIRE, PlaceType.DUAL_PAIR})


class AxleRole(StrEnum):
    """What an axle does."""

    STEER = "steer"
    DRIVE = "drive"
    TRAILER = "trailer"


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

    QUERY = "query"
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


class Evidence(StrEnum):
    """What a certificate for a fault at this point must show."""

    MEASUREMENT = "measurement"
    PHOTO = "photo"
    REPEATED_TEST = "repeated_test"
    STATEMENT = "statement"


class Language(StrEnum):
    """The languages every text exists in."""

    ENGLISH = "en"
    SPANISH = "es"
