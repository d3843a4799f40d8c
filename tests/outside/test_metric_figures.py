"""Our figures in inches against the millimetres that the same texts print beside theirs.

Sources, texts read: 393.47(d), (e), (f) linings, strokes and the wedge brake's mark; 393.209(b)(1) the table of free
play; 393.86(a)(2) to (5) the rear guard. One inch is 25.4 mm exactly (international yard and pound agreement, 1959). A
printed figure is rounded, so ours must round to it.
"""

from decimal import ROUND_HALF_UP, Decimal

import pytest

from tests.support.rule_facts import point

MM_OF_AN_INCH = Decimal("25.4")
STROKE, LINING, PLAY = "brakes.service.pushrod-stroke", "brakes.service.lining", "steering.free-play"

PRINTED = [
    (STROKE, "type-6-standard", "31.8"),
    (STROKE, "type-9-standard", "34.9"),
    (STROKE, "type-12-standard", "34.9"),
    (STROKE, "type-12-long", "44.5"),
    (STROKE, "type-16-standard", "44.5"),
    (STROKE, "type-16-long", "50.8"),
    (STROKE, "type-20-standard", "44.5"),
    (STROKE, "type-20-long", "50.8"),
    (STROKE, "type-20-long-3-in", "63.5"),
    (STROKE, "type-24-standard", "44.5"),
    (STROKE, "type-24-long", "50.8"),
    (STROKE, "type-24-long-3-in", "63.5"),
    (STROKE, "type-30-standard", "50.8"),
    (STROKE, "type-30-long", "63.5"),
    (STROKE, "type-36-standard", "63.5"),
    (STROKE, "dd-3", "57.2"),
    (STROKE, "bolt-a", "34.9"),
    (STROKE, "bolt-b", "44.5"),
    (STROKE, "bolt-c", "44.5"),
    (STROKE, "bolt-d", "31.8"),
    (STROKE, "bolt-e", "34.9"),
    (STROKE, "bolt-f", "57.2"),
    (STROKE, "bolt-g", "50.8"),
    (STROKE, "rotochamber-9", "38.1"),
    (STROKE, "rotochamber-12", "38.1"),
    (STROKE, "rotochamber-16", "50.8"),
    (STROKE, "rotochamber-20", "50.8"),
    (STROKE, "rotochamber-24", "50.8"),
    (STROKE, "rotochamber-30", "57.2"),
    (STROKE, "rotochamber-36", "69.9"),
    (STROKE, "rotochamber-50", "76.2"),
    (LINING, "steer-drum-one-strip", "4.8"),
    (LINING, "steer-drum-two-pads", "6.4"),
    (LINING, "steer-disc", "3.2"),
    (LINING, "other-drum", "6.4"),
    (LINING, "other-disc", "3.2"),
    ("brakes.service.wedge", "scribe-sixteenth", "1.6"),
    (PLAY, "manual-up-to-16-in", "51"),
    (PLAY, "power-up-to-16-in", "108"),
    (PLAY, "manual-18-in", "57"),
    (PLAY, "power-18-in", "121"),
    (PLAY, "manual-19-in", "60"),
    (PLAY, "power-19-in", "127"),
    (PLAY, "manual-20-in", "64"),
    (PLAY, "power-20-in", "133"),
    (PLAY, "manual-21-in", "67"),
    (PLAY, "power-21-in", "140"),
    (PLAY, "manual-22-in", "70"),
    (PLAY, "power-22-in", "146"),
    ("guard.rear.section", "section-100-mm", "100"),
    ("guard.rear.set-in", "built-since-1998", "305"),
]
ROUNDED_DOWN = [("guard.rear.side-gap", "built-since-1998", "100"), ("guard.rear.height", "built-since-1998", "560")]
"""The text gives 100 mm with 4 in and 560 mm with 22 in, so that its own two figures differ by up to 2 mm."""


def in_mm(name: str, limit_id: str) -> Decimal:
    asked = point(name)
    limit = asked.limit(limit_id)
    assert asked.measure is not None
    assert (asked.measure.unit_of_measure, limit is not None) == ("in", True)
    assert limit is not None
    assert limit.value is not None
    return limit.value * MM_OF_AN_INCH


@pytest.mark.parametrize(("name", "limit", "printed"), PRINTED)
def test_figure_in_inches__is_the_printed_one_in_millimetres(name: str, limit: str, printed: str) -> None:
    assert in_mm(name, limit).quantize(Decimal(printed), ROUND_HALF_UP) == Decimal(printed)


@pytest.mark.parametrize(("name", "limit", "printed"), ROUNDED_DOWN)
def test_figure_that_the_text_rounds_for_itself__within_two_millimetres(name: str, limit: str, printed: str) -> None:
    assert abs(in_mm(name, limit) - Decimal(printed)) < 2
