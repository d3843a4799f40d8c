"""What was read in its source and what is from memory: whatever rests on a text not read says so.

Typed from the list of what was read while the facts were compiled: these sections are not on it, or only as a title.
Take one out here when its text has been read, and change the mark in the catalogue with it.
"""

import re

import pytest

from defects.rules.catalogue import load_catalogue
from defects.rules.points import Point, Source
from fleet.rules.documents.loading import load_document_kinds

NOT_READ = ["390.21", "393.19", "393.24", "393.28", "399.207", "1910.147", "1.906"]


def sources_of(point: Point) -> list[Source]:
    return [*(finding.source for finding in point.findings), *(limit.source for limit in point.limits)]


@pytest.mark.parametrize("section", NOT_READ)
def test_section_that_was_not_read__marked_from_memory_wherever_it_is_named(section: str) -> None:
    named = re.compile(rf"(?<![\d.]){re.escape(section)}(?!\d)")
    sources = [source for point in load_catalogue().points.values() for source in sources_of(point)]
    resting = [source for source in sources if named.search(source.section)]

    assert resting, "nothing rests on it any more"
    assert {str(source.basis) for source in resting} == {"memory"}


PAPERS_READ = {
    "periodic_inspection",  # 49 CFR 396.17
    "fuel_tax_licence",  # a State's page on the fuel-tax licence: calendar year, aboard by 1 March
    "heavy_vehicle_use_tax",  # the tax authority's page on the form
    "lease",  # 49 CFR 376.11, 376.12
    "cooling_unit_label",  # 13 CCR 2477 and the State's pages
    "cooling_unit_in_use_standard",
    "unified_registration_fee",  # a State's page on it
    "biennial_update",  # 49 CFR 390.19
    "insurance",  # 49 CFR 387.9
    "periodic_inspector_evidence",  # 49 CFR 396.19
    "brake_inspector_evidence",  # 49 CFR 396.25
    "refrigerant_card",  # 40 CFR 82.161
}
"""The papers whose period was read; how long apportioned registration runs is from memory as that of every State is."""


def test_papers__marked_read_where_their_period_was_and_from_memory_everywhere_else() -> None:
    marks = {name: kind.source.basis for name, kind in load_document_kinds().items()}
    assert marks == {name: "read" if name in PAPERS_READ else "memory" for name in marks}
    assert marks.keys() >= PAPERS_READ
