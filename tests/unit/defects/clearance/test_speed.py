"""A yard of 10,000 units, a third of them with something against them, answered within two processor seconds."""

from dataclasses import replace
from datetime import date, timedelta
from time import process_time

from defects.rules.clearance import Answer, HoldBy, HoldFact, Snapshot, UnitFacts, answer_yard
from defects.rules.vocabulary import UnitKind
from tests.unit.defects.clearance.snapshots import NOW, ZONE, defect, held, missing, unit

UNITS = 10_000
KINDS = tuple(UnitKind)


def _one(position: int) -> UnitFacts:
    plain = unit(f"U-{position}", KINDS[position % 3])
    last = date(2026, 4, 1) + timedelta(days=position % 300)
    inspected = held("periodic_inspection", last, month_end=last)
    permits = tuple(missing("weight_distance_permit", needed_in=state) for state in ("KY", "OR"))
    papers = (held(last=last), inspected, *permits) if plain.papers else ()
    against = position // 3 % 3 == 0
    return replace(
        plain,
        papers=papers,
        defects=(defect(str(position)),) if against else (),
        holds=(HoldFact(str(position), HoldBy.CARRIER, NOW),) if against else (),
    )


def test_ten_thousand_units__answered_within_two_seconds_alone_and_coupled() -> None:
    units = [_one(position) for position in range(UNITS)]
    alone = [Snapshot(NOW, ZONE, (one,)) for one in units]
    coupled = [Snapshot(NOW, ZONE, tuple(units[first : first + 3])) for first in range(0, UNITS - 1, 3)]
    for yard, count in ((alone, UNITS), (coupled, UNITS - 1)):
        started = process_time()
        answers = answer_yard(yard)
        spent = process_time() - started
        assert len(answers) == count
        assert 0.3 < sum(row.answer is Answer.BARRED for row in answers.values()) / count < 0.4
        assert spent < 2
