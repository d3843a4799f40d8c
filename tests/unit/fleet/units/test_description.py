"""What is wrong with a description of a unit."""

from datetime import date

import pytest

from fleet.models import CoolingUnitDetails, TractorDetails, TrailerDetails, Unit
from fleet.rules.units.description import (
    DETAILS,
    FACTS,
    FactProblem,
    axle_problems,
    chamber_problems,
    detail_problems,
    fact_problems,
)
from fleet.rules.units.meters import METERS_OF_KIND, has_meter

TODAY = date(2026, 3, 6)
SAMPLE_VIN = "BZTTKAA3XKA016001"
"""Of no country and no maker; check digit X."""


def test_sound_description__has_no_problem() -> None:
    facts = {
        "number": "NL-11",
        "owner": "Gravelspoon Foods",
        "vin": SAMPLE_VIN,
        "model_year": 2019,
        "plate_state": "IL",
    }
    assert fact_problems("tractor", facts, TODAY) == []


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"number": "NL 11"}, ("number", "unit_number_malformed")),
        ({"number": ""}, ("number", "unit_number_malformed")),
        ({"owner": "a@b"}, ("owner", "owner_malformed")),
        ({"owner": "a/b"}, ("owner", "owner_malformed")),
        ({"vin": SAMPLE_VIN[:-1]}, ("vin", "vin_length")),
        ({"vin": SAMPLE_VIN.replace("X", "5")}, ("vin", "vin_check_digit")),
        ({"vin": SAMPLE_VIN.lower()}, ("vin", "vin_characters")),
        ({"model_year": 1979}, ("model_year", "model_year_implausible")),
        ({"model_year": 2029}, ("model_year", "model_year_implausible")),
        ({"number": "0192f3a4" * 4}, ("number", "unit_number_malformed")),
        ({"in_control_since": date(1979, 12, 31)}, ("in_control_since", "in_control_since_implausible")),
        ({"in_control_since": date(2026, 3, 7)}, ("in_control_since", "in_control_since_implausible")),
        ({"plate_state": "il"}, ("plate_state", "state_malformed")),
    ],
)
def test_fact_that_cannot_be__is_named(facts: dict[str, object], expected: tuple[str, str]) -> None:
    assert fact_problems("tractor", facts, TODAY) == [FactProblem(*expected)]


@pytest.mark.parametrize("year", [1980, 2028, None])
def test_model_year_at_its_limits__is_fine(year: int | None) -> None:
    assert fact_problems("tractor", {"model_year": year}, TODAY) == []


def test_cooling_unit__has_no_vehicle_identification_number() -> None:
    assert fact_problems("cooling_unit", {"vin": SAMPLE_VIN}, TODAY) == [FactProblem("vin", "vin_not_of_kind")]
    assert fact_problems("cooling_unit", {"vin": ""}, TODAY) == []


@pytest.mark.parametrize(
    ("kind", "axles", "expected"),
    [
        ("tractor", [(1, "steer"), (2, "drive"), (3, "drive")], []),
        ("tractor", [(2, "drive"), (1, "steer")], []),
        ("trailer", [(1, "trailer")], []),
        ("tractor", [], []),
        ("tractor", [(1, "trailer")], [("axles/0/role", "axle_role_not_of_kind")]),
        ("trailer", [(1, "trailer"), (2, "drive")], [("axles/1/role", "axle_role_not_of_kind")]),
        ("trailer", [(1, "trailer"), (3, "trailer")], [("axles", "axle_numbers_with_gap")]),
        ("trailer", [(1, "trailer"), (1, "trailer")], [("axles", "axle_numbers_with_gap")]),
        ("cooling_unit", [(1, "trailer")], [("axles/0/role", "axle_role_not_of_kind")]),
    ],
)
def test_axles__count_from_one_and_fit_the_kind(
    kind: str, axles: list[tuple[int, str]], expected: list[tuple[str, str]]
) -> None:
    assert axle_problems(kind, axles) == [FactProblem(*problem) for problem in expected]


@pytest.mark.parametrize(
    ("actuator", "chamber", "known"),
    [
        ("", "36", True),
        ("", "A", False),
        ("clamp", "50", False),
        ("bolt", "G", True),
        ("bolt", "24", False),
        ("rotochamber", "50", True),
        ("rotochamber", "6", False),
        ("dd_3", "30", True),
        ("dd_3", "24", False),
        ("other", "24", False),
        ("other", "", True),
    ],
)
def test_chamber__of_a_type_that_its_kind_of_actuator_has(actuator: str, chamber: str, known: bool) -> None:
    axles: list[dict[str, object]] = [{"number": 1}, {"number": 2, "actuator": actuator, "chamber_type": chamber}]
    expected = [] if known else [FactProblem("axles/1/chamber_type", "axle_chamber_not_of_actuator")]
    assert chamber_problems(axles) == expected


def test_facts_and_details__are_columns_of_the_tables() -> None:
    columns = {field.attname for field in Unit._meta.concrete_fields}
    assert FACTS | {"id", "version", "kind", "retired_on", "recorded_at"} == columns
    tables = {"tractor": TractorDetails, "trailer": TrailerDetails, "cooling_unit": CoolingUnitDetails}
    assert {
        kind: {field.attname for field in table._meta.concrete_fields} - {"unit_id"} for kind, table in tables.items()
    } == {kind: set(names) for kind, names in DETAILS.items()}


def test_meters__belong_to_kinds() -> None:
    assert has_meter("tractor", "odometer_mi")
    assert not has_meter("cooling_unit", "odometer_mi")
    assert not has_meter("trailer", "standby_h")
    assert set(METERS_OF_KIND) == {"tractor", "trailer", "cooling_unit"}


@pytest.mark.parametrize(
    ("details", "expected"),
    [
        (
            {"governor_cut_in_psi": 120, "governor_cut_out_psi": 110},
            [FactProblem("governor_cut_in_psi", "governor_cut_in_not_below_cut_out")],
        ),
        ({"governor_cut_in_psi": 100, "governor_cut_out_psi": 125}, []),
        ({"governor_cut_in_psi": 120, "governor_cut_out_psi": None}, []),
        ({"gross_rating_lb": 0}, [FactProblem("gross_rating_lb", "gross_rating_zero")]),
    ],
)
def test_details__are_judged_together(details: dict[str, object], expected: list[FactProblem]) -> None:
    assert detail_problems(details) == expected
