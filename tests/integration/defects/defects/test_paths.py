"""Every way through the life of a defect, by the services themselves: none closes it unrepaired or strands a hold."""

from collections.abc import Callable, Mapping

import pytest
from django.db import transaction

from common.errors import DomainError
from defects.enums import OPEN_DEFECT_STATES, Bars, CertificateKind, DefectState, HoldKind, Severity
from defects.models import Defect, Hold
from defects.selectors.reviews import due_reviews
from defects.services.certificates.deferrals import return_past_limit
from defects.services.defects.repair import put_back, put_in_repair
from fleet.services.records.unit_of_work import lock_units
from tests.factories.fleet import NOON
from tests.support.yard import HOUR, Yard, stroke_check

pytestmark = pytest.mark.long

Move = Callable[[Yard, Defect], object]


def repair(yard: Yard, defect: Defect) -> object:
    return yard.repaired_stroke(defect)


def lift(yard: Yard, defect: Defect) -> object:
    return yard.lift(defect.holds.filter(lifted_at=None).order_by("number")[0], "ida")


def begin(yard: Yard, defect: Defect) -> None:
    lock_units([defect.unit_id])
    put_in_repair(defect)


def back(yard: Yard, defect: Defect) -> None:
    lock_units([defect.unit_id])
    put_back([defect])


MOVES: Mapping[str, Move] = {
    "certify": repair,
    "put off": lambda yard, defect: yard.dismiss(defect),
    "supersede": lambda yard, defect: yard.supersede(defect, measured=yard.measured("1.60")),
    "lower": lambda yard, defect: yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT),
    "lower by measuring": lambda yard, defect: (
        yard.walk("greta", checks=[stroke_check("1.80", "fine")]),
        yard.regrade(defect, Severity.WATCH, Bars.NOTHING),
    ),
    "raise": lambda yard, defect: yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT),
    "in error": lambda yard, defect: yard.in_error(defect, measured=yard.measured("1.75")),
    "reopen": lambda yard, defect: yard.reopen(defect),
    "lift": lift,
    "review": lambda yard, _: yard.review(),
    "seen again": lambda yard, _: yard.stroke(by="sol"),
    "begin repair": begin,
    "put back": back,
    "limit passes": lambda yard, _: return_past_limit(now=NOON + 1000 * HOUR),
}
SHORT, LONG = 2, 6
"""Moves in a row: enough for every state and every move; and longer, which takes its time. A place is left once."""
LOWERED = ("lower", "lower by measuring")
"""Only what was lowered so far can be put off: the short way goes on from there as well."""

Place = tuple[object, ...]


def newest(yard: Yard) -> Defect:
    return Defect.objects.filter(unit=yard.trailer).order_by("-number")[0]


def broken(yard: Yard) -> list[str]:
    """What must never be, and is."""
    faults = []
    for defect in Defect.objects.filter(unit=yard.trailer).select_related("current_certificate"):
        certificate = defect.current_certificate
        repaired = certificate is not None and certificate.kind == CertificateKind.REPAIRED
        if defect.state in {DefectState.CERTIFIED, DefectState.CLOSED} and not repaired:
            faults.append(f"{defect} is {defect.state} without a certificate of repair")
        if defect.state in OPEN_DEFECT_STATES and repaired:
            faults.append(f"{defect} is {defect.state} with a certificate of repair in force")
        held = Hold.objects.filter(defect=defect, kind=HoldKind.CARRIER, lifted_at=None).exists()
        if defect.state in OPEN_DEFECT_STATES and defect.severity == Severity.DO_NOT_MOVE and not held:
            faults.append(f"{defect} says do not move and nothing holds the unit")
        if defect.state == DefectState.DEFERRED and (certificate is None or repaired):
            faults.append(f"{defect} is deferred by nothing")
    return faults


def lift_everything(yard: Yard) -> None:
    """Repair what is open and lift what stands, as a shop would; raises where a hold is stranded."""
    for hold in Hold.objects.filter(unit=yard.trailer, lifted_at=None).select_related("defect").order_by("number"):
        assert hold.defect is not None
        if hold.defect.state in OPEN_DEFECT_STATES:
            yard.repaired_stroke(hold.defect)
        yard.lift(hold, "ida")


def place(yard: Yard) -> Place:
    """Where the newest two defects stand, as far as it makes a difference to what may come next."""
    rows = Defect.objects.filter(unit=yard.trailer).select_related("current_certificate").order_by("-number")[:2]
    owed = due_reviews([yard.trailer.pk])[yard.trailer.pk]
    return (
        bool(owed.reports or owed.certificates),
        *(
            (
                defect.state,
                defect.severity,
                None if defect.current_certificate is None else defect.current_certificate.kind,
                defect.holds.filter(lifted_at=None).exists(),
            )
            for defect in rows
        ),
    )


def undo(step: Callable[[], None]) -> None:
    """Take a step, and take it back."""
    with transaction.atomic():
        step()
        transaction.set_rollback(True)


def explore(
    yard: Yard, path: tuple[str, ...], seen: dict[Place, tuple[str, ...]], taken: set[str], *, depth: int
) -> None:
    """Try every move from here, look at what it left behind, and go on from every place not seen before."""
    for name, move in MOVES.items():

        def step(name: str = name, move: Move = move) -> None:
            try:
                with transaction.atomic():
                    move(yard, newest(yard))
            except (DomainError, IndexError):
                return
            here = (*path, name)
            taken.add(name)
            assert broken(yard) == [], here
            found = place(yard)
            if found in seen:
                return
            seen[found] = here
            undo(lambda: lift_everything(yard))
            if len(here) < depth:
                explore(yard, here, seen, taken, depth=depth)

        undo(step)


@pytest.mark.timeout(300)
@pytest.mark.parametrize(
    ("depth", "places"), [(SHORT, 20), pytest.param(LONG, 130, marks=pytest.mark.drill)], ids=["short", "long"]
)
def test_every_path__nothing_closes_unrepaired_and_no_hold_is_stranded(yard: Yard, depth: int, places: int) -> None:
    yard.stroke()
    seen: dict[Place, tuple[str, ...]] = {place(yard): ()}
    taken: set[str] = set()

    def lowered() -> None:
        for name in LOWERED:
            MOVES[name](yard, newest(yard))
        explore(yard, LOWERED, seen, taken, depth=depth)

    explore(yard, (), seen, taken, depth=depth)
    undo(lowered)

    assert broken(yard) == []
    states = {where[0] for _, *defects in seen for where in defects if isinstance(where, tuple)}
    assert states == set(DefectState)
    assert taken == MOVES.keys()
    assert len(seen) >= places


def test_unrepaired_and_closed__is_found_by_the_search(yard: Yard) -> None:
    """The search fails where it should: a defect that a careless hand closed."""
    defect = yard.stroke()
    Defect.objects.filter(pk=defect.pk).update(state=DefectState.CLOSED)
    assert broken(yard) == [f"defect {defect.number} is closed without a certificate of repair"]


def test_stranded_hold__is_found_by_the_search(yard: Yard) -> None:
    """And a hold whose defect left its states without a repair."""
    defect = yard.stroke()
    Defect.objects.filter(pk=defect.pk).update(state=DefectState.CLOSED)
    with pytest.raises(DomainError):
        lift_everything(yard)
