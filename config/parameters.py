"""What each parameter of the API means, by its name: one name means the same everywhere. A hook of drf-spectacular."""

from collections.abc import Mapping
from typing import Any

DESCRIPTIONS: Mapping[str, str] = {
    # what an address names
    "code": "The code of the site.",
    "key": "The key of the row.",
    "name": "The name of the table.",
    "ref": "The number, or the key; of a unit its number, `number@owner` for a third party's, or its key.",
    "role": "The key of the role.",
    "sha256": "The SHA-256 of the file, as 64 lower-case hexadecimal digits.",
    "token": "The token of the feed.",
    # what a list is cut down to
    "answer": "Answered so.",
    "assigned_to": "Assigned to this person, by key.",
    "at": "In force, or on call, at this instant.",
    "at_site": "At this site now by what was said last, by code.",
    "bars": "Forbidding this.",
    "carrier": "Whether it is the carrier's own.",
    "cause": "Placed for this cause.",
    "channel": "Over this channel.",
    "comeback": "Whether its repair had been certified before and did not hold.",
    "cooling_unit": "Of this cooling unit.",
    "defect": "For this defect, by number or key.",
    "due_by": "Due on this day or earlier.",
    "ends_by": "Ending on this day or earlier.",
    "expected_by": "Expected to be ready by this instant.",
    "firm": "By this outside firm.",
    "flagged": "Whether something about it is flagged.",
    "format": "The form of the response; overrides the Accept header.",
    "graded": "Whether a foreman has graded it.",
    "has_address": "Whether notifications reach the person by mail or webhook.",
    "home_site": "At home at this site, by code.",
    "kind": "Of this kind.",
    "lead": "Led by this mechanic, by key.",
    "leg": "On this leg of the walk.",
    "load": "Of this load, by number or key.",
    "location": "In such a place by what was said.",
    "meter": "Of this meter.",
    "mode": "Whether the table is only checked, or imported; refused as a whole, or row by row.",
    "on": "Holding on this day.",
    "open": "Whether it is open.",
    "order": "Of this repair order, by number or key.",
    "ours": "Whether the unit is the carrier's own.",
    "owner": "Of this owner.",
    "person": "Of this person, by key.",
    "plate": "With this plate.",
    "record": "Of this record, by key.",
    "record_kind": "Of this kind of record.",
    "responsible": "For which this person is responsible, by key.",
    "scope": "For this kind of work.",
    "severity": "Of this severity; may be given several times.",
    "since": "At this instant or later.",
    "site": "At this site, by code.",
    "authority": "Demanded by this authority.",
    "source": "From this source.",
    "state": "In this state.",
    "state_of_answer": "Whether the officer's report is answered.",
    "subject": "Of this subject.",
    "subsystem": "Of this subsystem of the unit, as `brakes.friction`.",
    "run": "By this run of the job.",
    "system": "Of this system of the unit.",
    "taken_over": "Whether it was taken over from a walk-around.",
    "task": "On this task, by key.",
    "temperature_class": "Of this temperature class.",
    "trailer": "Of this trailer.",
    "unit": "Of this unit: its number, `number@owner` for a third party's, or its key.",
    "unit_kind": "For this kind of unit.",
    "unit_known": "Whether its unit is on record.",
    "until": "Before this instant.",
    "urgent": "Whether it is urgent.",
    "vin": "With this vehicle identification number.",
    "waiting_for": "Waiting for this.",
    "what": "What was deleted.",
    "within_days": "Ending within so many days from today; 0 is today.",
    "worst_severity": "With this severity as its worst; may be given several times.",
}


def describe_parameters(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Describe every parameter that its view does not describe itself."""
    for operation in (each for operations in result["paths"].values() for each in operations.values()):
        for parameter in operation.get("parameters", ()):
            if "description" not in parameter and parameter["name"] in DESCRIPTIONS:
                parameter["description"] = DESCRIPTIONS[parameter["name"]]
    return result
