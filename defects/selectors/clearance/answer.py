"""The answer to a snapshot, also where the rules fail over one unit's records: that unit bars, the answer is given."""

import logging
from dataclasses import replace

from defects.rules.clearance.answer import ClearanceJudgement
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import Snapshot
from defects.rules.clearance.unit_facts import UnitFacts

logger = logging.getLogger(__name__)


def answer_for(snapshot: Snapshot) -> ClearanceJudgement:
    """The answer; where the rules fail over a unit, with that unit as one that cannot be read, or else with all."""
    try:
        return answer_clearance(snapshot)
    except Exception:  # whatever is wrong with one unit's records, the others are answered for
        logger.exception("%s cannot be weighed", ", ".join(unit.ref for unit in snapshot.units))
    failing = [unit.ref for unit in snapshot.units if not _can_be_weighed(replace(snapshot, units=(unit,)))]
    without = tuple(_unread(unit) if unit.ref in failing or not failing else unit for unit in snapshot.units)
    try:
        return answer_clearance(replace(snapshot, units=without))
    except Exception:  # it lies in how they stand together, or in the load
        logger.exception("%s can only be weighed as unread", ", ".join(unit.ref for unit in snapshot.units))
        units = tuple(_unread(unit) for unit in snapshot.units)
        return answer_clearance(Snapshot(as_of=snapshot.as_of, zone=snapshot.zone, units=units))


def _can_be_weighed(snapshot: Snapshot) -> bool:
    try:
        answer_clearance(snapshot)
    except Exception:  # noqa: BLE001  the whole was logged
        return False
    return True


def _unread(unit: UnitFacts) -> UnitFacts:
    return UnitFacts(unit.ref, unit.kind, unreadable=True)
