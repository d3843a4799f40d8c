"""Which units a rehearsal pulls, and the gaps of identity and inspection: each found, and what is near one not."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from fleet.rules.documents.states import DocumentState
from fleet.rules.records.rehearsal import Candidate, Identity, Inspected, draw, identity_gaps, inspection_gaps

UNIT = UUID(int=1)
WHOLE = Identity(UNIT, "trailer", "Hollow", "1H9A", 2021, "295/75R22.5")
STANDING = Inspected(
    UNIT, DocumentState.VALID, date(2026, 1, 5), date(2027, 1, 4), "Greta Lind", scanned=True, evidence=True
)
FLEET = [
    Candidate(UUID(int=at), kind, f"{kind}-{at}")
    for at, kind in enumerate(["tractor"] * 40 + ["trailer"] * 40 + ["cooling_unit"], start=1)
]


def test_same_seed__pulls_the_same_units_in_whatever_order_they_come() -> None:
    assert draw(FLEET, 5, 28) == draw(FLEET[::-1], 5, 28)
    assert draw(FLEET, 5, 28) != draw(FLEET, 5, 29)


@pytest.mark.parametrize("seed", range(20))
def test_pull__brings_every_kind_and_nobody_twice(seed: int) -> None:
    pulled = draw(FLEET, 5, seed)
    assert {unit.kind for unit in pulled} == {"tractor", "trailer", "cooling_unit"}
    assert len({unit.key for unit in pulled}) == len(pulled) == 5


def test_new_unit__displaces_one_pull_at_most() -> None:
    more = [*FLEET, Candidate(UUID(int=99), "trailer", "trailer-99")]
    for seed in range(20):
        assert len(set(draw(FLEET, 5, seed)) - set(draw(more, 5, seed))) <= 1


def test_more_asked_than_there_are__all_come() -> None:
    assert set(draw(FLEET[:3], 5, 1)) == set(FLEET[:3])


@pytest.mark.parametrize(
    ("lacking", "code"),
    [
        ({"make": ""}, "gap_make_missing"),
        ({"serial": ""}, "gap_serial_missing"),
        ({"model_year": None}, "gap_year_missing"),
        ({"tire_size": ""}, "gap_tire_size_missing"),
    ],
)
def test_element_of_identity_missing__is_the_gap(lacking: dict[str, object], code: str) -> None:
    [gap] = identity_gaps(replace(WHOLE, **lacking))  # type: ignore[arg-type]
    assert (gap.code, gap.section, gap.link) == (code, "49 CFR 396.3(b)(1)", f"/api/v1/units/{UNIT}")


def test_whole_identity_and_cooling_unit__no_gap() -> None:
    assert list(identity_gaps(WHOLE)) == []
    assert list(identity_gaps(Identity(UNIT, "cooling_unit", "", "", None, ""))) == []


@pytest.mark.parametrize(
    ("changes", "code", "section", "shown"),
    [
        ({"state": DocumentState.EXPIRED}, "gap_inspection_expired", "49 CFR 396.17(c)", True),
        ({"scanned": False}, "gap_inspection_not_scanned", "49 CFR 396.21(b)(1)", False),
        ({"evidence": False}, "gap_inspector_evidence_missing", "49 CFR 396.19(b)", True),
    ],
)
def test_inspection_lacking_something__is_the_gap(
    changes: dict[str, object], code: str, section: str, shown: bool
) -> None:
    [gap] = inspection_gaps(UNIT, replace(STANDING, **changes))  # type: ignore[arg-type]
    assert (gap.code, gap.section, gap.shown) == (code, section, shown)


def test_no_inspection__is_the_gap() -> None:
    [gap] = inspection_gaps(UNIT, None)
    assert (gap.code, gap.section) == ("gap_inspection_missing", "49 CFR 396.17(c)")


@pytest.mark.parametrize("changes", [{}, {"state": DocumentState.DUE}, {"evidence": None}])
def test_inspection_that_stands__no_gap(changes: dict[str, object]) -> None:
    """One that ends soon still stands; the evidence on a State's inspector is kept by the State."""
    assert list(inspection_gaps(UNIT, replace(STANDING, **changes))) == []  # type: ignore[arg-type]
