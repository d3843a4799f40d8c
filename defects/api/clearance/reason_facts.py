"""The facts of every reason and unknown, listed; each code has only its own. They are shown as they were stored."""

from typing import Annotated, Any

from pydantic import Field, GetJsonSchemaHandler, TypeAdapter
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema
from typing_extensions import TypedDict

from common.api.values import Word
from defects.enums import Severity


def _said(description: str) -> Any:
    return Field(description=description)


def _format(name: str, description: str | None = None) -> Any:
    return Field(json_schema_extra={"format": name}, description=description)


class Facts(TypedDict, total=False):
    """What a sentence is filled with. Only those of the code are there."""

    hold: Annotated[int, _said("number of the hold")]
    reason: Annotated[str, _said("in the words of whoever placed the hold")]
    defect: Annotated[int, _said("number of the defect")]
    point: Annotated[str, _said("point, or the driver's words")]
    place: str
    finding: Annotated[str, _said("condition reported at the point")]
    text: Annotated[str, _said("in the words of whoever found it")]
    value: Annotated[str, _said("measured there")]
    limit: Annotated[str, _said("figure that the value fails")]
    unit_of_measure: str
    severity: Annotated[str, Word(Severity)]
    defective: Annotated[int, _said("defective service brakes")]
    brakes: Annotated[int, _said("service brakes of all the units")]
    places: list[str]
    points: Annotated[list[str], _said("the first that have no answer, each with its place")]
    count: Annotated[int, _said("how many have no answer")]
    refusal: Annotated[str, _format("uuid")]
    reports: list[Annotated[str, _format("uuid")]]
    certificates: list[Annotated[str, _format("uuid")]]
    document: Annotated[str, _said("kind of document")]
    us_state: Annotated[str, _said("the State that asks for it")]
    starts_on: Annotated[str, _format("date")]
    ends_by_day: Annotated[str, _format("date")]
    ends_by_month_end: Annotated[str, _format("date")]
    last_day: Annotated[str, _format("date")]
    needed_until: Annotated[str, _format("date-time")]
    why: str
    area: str
    walked_at: Annotated[str, _format("date-time")]
    add_gal: int
    reserve_gal: Annotated[int, _said("what the carrier keeps in the tank")]
    more_than_the_tank_holds: bool
    lasts_h: Annotated[int, _said("engine hours that what is left at departure lasts at least, by the readings")]
    air_f: Annotated[str, _said("air in the box, °F")]
    target_f: Annotated[str, _said("ordered temperature, °F")]
    product_f: Annotated[str, _said("the product as it was loaded, °F")]
    limit_f: Annotated[str, _said("ordered at most, or at least, °F")]
    learned_until: Annotated[str, _format("date-time", "the newest reading by which the unit is known")]
    start_at: Annotated[str, _format("date-time", "when pre-cooling must begin at the latest")]
    cold_at: Annotated[str, _format("date-time", "when the box would be cold if it begins now")]
    minutes: Annotated[int, _said("how long at a time the air was outside the range")]
    seal_read: Annotated[str, _said("what was read on the doors")]
    units: list[str]
    days: Annotated[int, _said("since when no full walk answered all")]
    limit_on: Annotated[str, _format("date", "last day that the repair may wait")]
    limit_mi: str
    limit_engine_h: str
    to_place: Annotated[str, _said("where a limited move may go")]
    distance_mi: str
    driven_mi: Annotated[str, _said("miles driven since a limited move was permitted, where they are beyond it")]
    miles: Annotated[str, _said("length of the trip, where it is longer than the one permitted")]
    ends_at: Annotated[str, _format("date-time")]
    name: Annotated[str, _said("who drives a limited move")]
    conditions: str
    location: Annotated[str, _said("where it was left")]
    site: Annotated[str, _said("the site of ours where it was left, by code")]
    address: Annotated[str, _said("where it was left, in words")]
    legs_down: bool
    doors_closed: bool
    mode: Annotated[str, _said("how the cooling unit runs there")]
    fuel_gal: Annotated[str, _said("what is in the cooling unit's tank")]
    seal: Annotated[str, _said("on the doors")]
    note: Annotated[str, _said("for whoever comes next")]
    order: Annotated[int, _said("number of the repair order")]
    work: Annotated[str, _said("what is being done")]
    undone: Annotated[str, _said("what was left undone, signed fit to move")]
    load: Annotated[str, _said("number of the load")]
    axles: Annotated[str, _said("the axles that were weighed at once, as numbers on their unit")]
    lb: Annotated[int, _said("pounds on the scale")]
    limit_lb: int
    permits: Annotated[str, _said("the permits that allow the weight, each with its State")]
    holes: Annotated[int, _said("holes of the slider after which every weight would be within its limits")]
    rearward: Annotated[bool, _said("toward the rear, or else the front")]
    lost_gal: Annotated[str, _said("gallons gone beyond what the engine hours explain")]
    gone_gal: Annotated[str, _said("gallons gone in all")]
    explained_gal: Annotated[str, _said("gallons that the hours explain at most, and the gauge")]
    engine_h: str
    since_at: Annotated[str, _format("date-time", "the reading before")]
    until_at: Annotated[str, _format("date-time", "the reading that showed it")]
    load_at_risk: Annotated[str, _format("uuid")]


class _AsStored:
    """Facts that are given as they stand in the row, and described as `Facts`."""

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        described = TypeAdapter(Facts).json_schema()
        for each in described["properties"].values():
            each.pop("title", None)
        return {**described, "title": "Facts"}


StoredFacts = Annotated[dict[str, Any], _AsStored()]
