"""An answer changes only through a fact on record: in a unit's history, or in the dated rows of papers and policies."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from random import Random

import pytest
from django.db import transaction

from common.errors import DomainError
from defects.enums import Bars, ClearanceAnswer, Severity
from defects.models import Defect, Hold, Load, Refusal, RoadsideInspection
from defects.rules.clearance.answer import ClearanceJudgement
from defects.rules.clearance.evaluate import answer_clearance
from defects.selectors.clearance.trips import Trip, trip_facts
from defects.services.certificates.deferrals import return_past_limit
from defects.services.defects.evidence import Until
from defects.services.holds.by_person import place_hold
from defects.services.loads.loading import deliver_load
from defects.services.refusals.refusals import look_again
from fleet.enums import MeterKind
from fleet.models import Coupling, Document, HistoryEntry, Policy
from fleet.selectors.units.combinations import units_of_trip
from fleet.services.carrier.policies import set_policy
from fleet.services.documents.documents import replace_document
from fleet.services.units.couplings import couple, uncouple
from fleet.services.units.meters import record_reading
from tests.factories.fleet import HOUR, NOON
from tests.support.dock import LAMP, Dock, fuel_check
from tests.support.submissions import answer_to, fault_told
from tests.support.yard import photo_on

LOOKED_AT = NOON + 12 * HOUR
"""Every answer is asked for as of this instant, after all that happens, so that time alone changes none of them."""
ROUNDS = 2

Step = Callable[[Dock], object]


def answer(dock: Dock) -> ClearanceJudgement:
    units = units_of_trip(["NL-13", "LR-46"], at=LOOKED_AT)
    trip = Trip(units, LOOKED_AT + HOUR, LOOKED_AT + 5 * HOUR, Decimal(200))
    return answer_clearance(trip_facts(trip, now=LOOKED_AT).snapshot)


def on_record() -> tuple[int, int, int]:
    """How much there is in the units' histories, among the carrier's decisions, and among documents of no unit."""
    return HistoryEntry.objects.count(), Policy.objects.count(), Document.objects.filter(unit=None).count()


def some_defect(dock: Dock) -> Defect:
    return Defect.objects.filter(unit=dock.trailer).order_by("-number")[0]


def lift(dock: Dock) -> None:
    dock.lift(Hold.objects.filter(lifted_at=None)[0], by="ida", reason="looked at it")


def repair(dock: Dock) -> None:
    defect = some_defect(dock)
    given = {"measured": dock.measured()} if defect.value is not None else {"photo": photo_on(defect, "b" * 64)}
    dock.certify(defect, **given)


def put_off(dock: Dock) -> None:
    defect = some_defect(dock)
    dock.dismiss(defect, photo=photo_on(defect, "c" * 64), until=Until(on=NOON.date() + dt.timedelta(days=3)))


def look(dock: Dock) -> None:
    refusal = Refusal.objects.filter(second_look=None)[0]
    look_again(
        refusal_id=refusal.pk, found="as it should be", looked_at=dock.later(), actor=dock["greta"], now=dock.now
    )


def load(dock: Dock) -> None:
    """A load that the trailer takes, cold or dry in turn."""
    number = dock.later().strftime("L-%H%M")
    dock.put(dock.load(number, "dry" if dock.now.minute % 2 else "frozen", seal="S-1"))


def unload(dock: Dock) -> None:
    aboard = dock.trailer.loads.get(delivered_at=None, loaded_at__isnull=False)
    deliver_load(load_id=aboard.pk, delivered_at=dock.later(), actor=dock["cal"], now=dock.now)


def part(dock: Dock) -> None:
    running = Coupling.objects.filter(members__span__contains=dock.now)[0]
    uncouple(coupling_id=running.pk, ended_at=dock.later(), actor=dock["cal"], now=dock.now)


def join(dock: Dock) -> None:
    units = [dock.tractor.pk, dock.trailer.pk]
    couple(unit_ids=units, started_at=dock.later(), actor=dock["cal"], now=dock.now)


def decide(dock: Dock) -> None:
    hours = 6 + dock.later().minute % 48
    vera = dock["vera"]
    set_policy(key="walk_valid_hours", value=hours, valid_from=None, reason="season", actor=vera, now=dock.now)


def renew(dock: Dock) -> None:
    """The trailer's periodic inspection, of a year ago this time."""
    standing = Document.objects.get(unit=dock.trailer, kind="periodic_inspection", superseded_at=None)
    replace_document(
        document_id=standing.pk,
        version=standing.version,
        facts={"starts_on": NOON.date() - dt.timedelta(days=366), "ends_on": None},
        today=NOON.date(),
        actor=dock["vera"],
        now=dock.later(),
    )


def read(dock: Dock) -> None:
    shown = Decimal(1000 + dock.later().minute)
    hob = dock["hob"]
    record_reading(
        unit_id=dock.tractor.pk, meter=MeterKind.ODOMETER_MI, shown=shown, read_at=dock.now, actor=hob, now=dock.now
    )


STEPS_BY_NAME: dict[str, Step] = {
    "lamp out": lambda dock: dock.hand_in((dock.trailer, [answer_to(LAMP, "defect", place="left")])),
    "brake over its limit": lambda dock: dock.stroke(),
    "fault in words": lambda dock: dock.walk(faults=[fault_told("knocks")]),
    "too dark to look": lambda dock: dock.hand_in(
        (dock.trailer, [answer_to("tires.trailer.body", "not_reached", place="axle-1-left-outer", reason="dark")])
    ),
    "all fine": lambda dock: dock.walk_all(),
    "little fuel": lambda dock: dock.hand_in((dock.cooling_unit, [fuel_check("4")])),
    "cooling fails": lambda dock: dock.cold_fault(),
    "hold": lambda dock: place_hold(
        unit_id=dock.tractor.pk, defect_id=None, reason="smoke", actor=dock["hob"], now=dock.later()
    ),
    "lift": lift,
    "repair": repair,
    "put off": put_off,
    "deferrals end": lambda dock: return_past_limit(now=dock.later()),
    "grade": lambda dock: dock.regrade(some_defect(dock), Severity.BEFORE_NEXT_USE, Bars.MOVEMENT),
    "grade the words": lambda dock: dock.grade(some_defect(dock), Severity.NEXT_SHOP_VISIT, Bars.NOTHING),
    "entered in error": lambda dock: dock.in_error(some_defect(dock), measured=dock.measured("1.7")),
    "reopen": lambda dock: dock.reopen(some_defect(dock)),
    "review": lambda dock: dock.review(dock.tractor, dock.trailer, dock.cooling_unit),
    "refuse": lambda dock: dock.refuse(unit=dock.tractor),
    "look": look,
    "officer": lambda dock: dock.inspected(
        dock.brake("axle-1-left"), number=f"IA-{RoadsideInspection.objects.count()}", inspected_at=dock.later()
    ),
    "load": load,
    "unload": unload,
    "uncouple": part,
    "couple": join,
    "decide": decide,
    "inspected anew": renew,
    "read the meter": read,
    "ask": lambda dock: dock.ask(at=dock.later()),
}


def take(step: Step, dock: Dock) -> bool:
    """Take a step; whether it was allowed. What is not there to be done, or refused, changes nothing."""
    try:
        with transaction.atomic():
            step(dock)
    except (DomainError, IndexError, Load.DoesNotExist):
        return False
    return True


@pytest.mark.parametrize("seed", [1, 2])
def test_every_step_twice_in_some_order__no_answer_changes_without_a_fact_on_record(dock: Dock, seed: int) -> None:
    random = Random(seed)  # noqa: S311 - no secret
    changed: dict[str, int] = {}
    before, recorded = answer(dock), on_record()
    assert before.answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    for name in random.sample(sorted(STEPS_BY_NAME) * ROUNDS, ROUNDS * len(STEPS_BY_NAME)):
        allowed = take(STEPS_BY_NAME[name], dock)
        after, now_recorded = answer(dock), on_record()
        if after != before:
            changed[name] = changed.get(name, 0) + 1
            assert allowed, f"{name} was refused and changed the answer"
            assert now_recorded > recorded, f"{name} changed the answer and left nothing on record"
        before, recorded = after, now_recorded
    assert len(changed) >= 12, changed


def test_row_changed_behind_the_services__is_found_to_leave_nothing_on_record(dock: Dock) -> None:
    """What the test above would see: an answer that changed while the record did not."""
    before, recorded = answer(dock), on_record()
    Document.objects.filter(unit=dock.trailer, kind="registration").update(ends_on=NOON.date())
    assert (answer(dock).answer, before.answer) == (ClearanceAnswer.BARRED, ClearanceAnswer.NOTHING_KNOWN_AGAINST)
    assert on_record() == recorded
