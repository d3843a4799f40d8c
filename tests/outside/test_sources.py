"""What was read in its source and what is from memory: whatever rests on a text not read says so.

Typed from the list of what was read while the facts were compiled: these sections are not on it, or only as a title.
Take one out here when its text has been read, and change the mark in the catalogue with it.
"""

import re

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.points import Point, Source
from fleet.rules.documents.loading import load_document_kinds
from tests.support.rule_facts import point

NOT_READ = ["393.28", "393.84", "1.906", "several State laws"]

READ_SINCE = [
    # what was read, word for word enough to know it again; what rests on it
    ("cab.identification", "unreadable", "49 CFR 390.21T(c)", "read"),  # "legible ... from a distance of 50 feet"
    ("lamps.tractor.headlamps", "out", "49 CFR 393.9, 393.24(a)", "read"),  # "upper and lower beam"
    (
        "lamps.tractor.turn-and-hazard-front",
        "out",
        "49 CFR 393.9, 393.11, 393.19",
        "read",
    ),  # "all turn signals ... flash"
    ("wiring.tractor.condition", "bare_battery_cable", "49 CFR 393.30", "read"),  # "protected against grounding"
    ("cab.seat-and-belt", "belt_fails", "49 CFR 393.93(b)", "read"),  # belts by the day of making
    ("cooling.isolation", "cannot_be_isolated", "29 CFR 1910.147(c)(1)", "read"),  # "isolated ... rendered inoperative"
    ("air.lines.condition", "ply_showing", "49 CFR 393.45(b)(2); Part 396 App. A, 1.d", "read"),
    ("lamps.trailer.tape-rear", "full-width", "49 CFR 571.108 S8.2.3.1.1", "read"),  # read by the audit: the full width
    ("coupling.kingpin.wear", "wear-eighth", "COMAR 11.22.04.11 B(2): one State's limit", "read"),  # "1/8 inch or more"
    ("body.mud-flaps", "missing_or_torn", "Utah R714-162-8(1)(a): one State's rule", "read"),
    ("air.trailer.abs-lamp", "part_missing", "49 CFR 393.55(c), 396.3(a)(1)", "read"),  # "must be equipped with"
    ("brakes.service.adjusters", "loose_or_missing", "49 CFR 393.53(b), 396.3(a)(1)", "read"),  # "must meet"
    ("brakes.service.adjusters", "does_not_hold", "49 CFR 393.47(e), 393.53(b)", "read"),
    ("tires.other.markings", "speed_restricted", "49 CFR 393.75(f)", "read"),  # "at speeds that exceed the rated limit"
    ("tires.trailer.pressure", "pressure-for-the-load-after-a-run", "49 CFR 393.75(i)(2)", "read"),  # Table 1
    ("cab.warning-lamps", "air_gauge", "49 CFR 393.51(c)", "read"),  # "equipped with a pressure gauge"
    ("lamps.tractor.rear", "back_up_or_plate_out", "49 CFR 393.9, 393.11", "read"),  # Table 1: back-up lamp, 1 or 2
    ("suspension.air-loss", "fills_too_early", "49 CFR 393.207(f)", "read"),  # "until at least 55 psi"
    # in no text that was read
    ("air.lines.condition", "crossed", "common practice", "practice"),
    (
        "cab.doors-steps-and-handles",
        "step_or_handle",
        "common practice",
        "practice",
    ),  # 399.207: "high profile COE" only
    ("cooling.circuit.refrigerant", "oil_stain", "common practice", "practice"),
    ("cooling.setpoint", "above-order", "own limit; 21 CFR 1.908(a)(3)(iii) names no tolerance", "own"),
    ("body.roof-ice", "ice_on_roof", "several State laws", "memory"),  # 393.100(b) is on cargo
]
"""Read in the CFR by section, or quoted in the audit of the catalogue against its texts (the last three read ones)."""


@pytest.mark.parametrize(("name", "rule", "section", "basis"), READ_SINCE)
def test_source__as_its_text_says(name: str, rule: str, section: str, basis: str) -> None:
    asked = point(name)
    source = (asked.finding(rule) or asked.limit(rule)).source  # type: ignore[union-attr]
    assert (source.section, source.basis) == (section, basis)


def sources_of(point: Point) -> list[Source]:
    return [*(finding.source for finding in point.findings), *(limit.source for limit in point.limits)]


@pytest.mark.parametrize("section", NOT_READ)
def test_section_that_was_not_read__marked_from_memory_wherever_it_is_named(section: str) -> None:
    named = re.compile(rf"(?<![\d.]){re.escape(section)}(?!\d)")
    sources = [source for point in load_catalogue().points.values() for source in sources_of(point)]
    resting = [source for source in sources if named.search(source.section)]

    assert resting, "nothing rests on it any more"
    assert {str(source.basis) for source in resting} == {"memory"}


DOCUMENTS_READ = {
    "periodic_inspection",  # 49 CFR 396.17
    "fuel_tax_licence",  # a State's page on the fuel-tax licence: calendar year, aboard by 1 March
    "heavy_vehicle_use_tax",  # the tax authority's page on the form
    "lease",  # 49 CFR 376.11, 376.12
    "cooling_unit_label",  # 13 CCR 2477 and the State's pages
    "cooling_unit_in_use_standard",
    "unified_registration_fee",  # a State's page on it
    "biennial_update",  # 49 CFR 390.19
    "insurance",  # 49 CFR 387.7(a), 387.9
    "commercial_driver_licence",  # 49 CFR 383.23(a)
    "medical_certificate",  # 49 CFR 391.45(b)
    "periodic_inspector_evidence",  # 49 CFR 396.19
    "brake_inspector_evidence",  # 49 CFR 396.25
    "refrigerant_card",  # 40 CFR 82.161
}
"""The papers whose period was read; how long apportioned registration runs is from memory as that of every State is."""


def test_documents__marked_as_read_where_their_period_was_else_from_memory() -> None:
    kinds = load_document_kinds()
    marks = {name: kind.source.basis for name, kind in kinds.items()}
    assert [name for name in DOCUMENTS_READ if "memory" in kinds[name].source.text] == []
    assert marks == {name: "read" if name in DOCUMENTS_READ else "memory" for name in marks}
    assert marks.keys() >= DOCUMENTS_READ
