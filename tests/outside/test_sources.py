"""Rules whose text nobody of this project has read yet: whatever rests on one says that it is from memory.

Typed from the list of what was read while the facts were compiled: these sections are not on it, or only as a title.
Take one out here when its text has been read, and change the mark in the catalogue with it.
"""

import re

import pytest

from defects.rules.catalogue import load_catalogue
from defects.rules.points import Point, Source

NOT_READ = ["390.21", "392.16", "393.19", "393.24", "393.28", "399.207", "1910.147", "1.906"]


def sources_of(point: Point) -> list[Source]:
    return [*(finding.source for finding in point.findings), *(limit.source for limit in point.limits)]


@pytest.mark.parametrize("section", NOT_READ)
def test_section_that_was_not_read__marked_from_memory_wherever_it_is_named(section: str) -> None:
    named = re.compile(rf"(?<![\d.]){re.escape(section)}(?!\d)")
    sources = [source for point in load_catalogue().points.values() for source in sources_of(point)]
    resting = [source for source in sources if named.search(source.section)]

    assert resting, "nothing rests on it any more"
    assert {str(source.basis) for source in resting} == {"memory"}
