"""The catalogue that comes with the code: what it covers, its stored form, its hash and its order."""

import copy
import json
import re
from dataclasses import replace
from typing import Any

import pytest

from common.canonical import canonical_json, sha256_hex
from defects.enums import Authority, Leg
from defects.messages.catalogue import SUBSYSTEMS, SYSTEMS
from defects.rules.catalogue.catalogue import (
    Catalogue,
    MalformedCatalogueError,
    load_catalogue,
    parse_catalogue,
    read_package_documents,
)
from defects.rules.catalogue.closed_sets import (
    CARRIER_GROUPS,
    CATALOGUE_LEGS,
    Basis,
    HowOften,
    Language,
    PartGroup,
    RuleKind,
    Subsystem,
)
from defects.rules.catalogue.observed import KIND_OF_FORM
from defects.rules.walkarounds.looks import AskedPoint, on_form
from defects.selectors.catalogue.catalogue import parsed
from tests.support.rule_facts import point

POINTS = list(load_catalogue().points.values())
MEASURED_AND_ASKED_FOR = [
    "brakes.service.pushrod-stroke",
    "brakes.service.lining",
    "tires.steer.tread-depth",
    "tires.drive.tread-depth",
    "tires.trailer.tread-depth",
    "tires.steer.pressure",
    "tires.drive.pressure",
    "tires.trailer.pressure",
    "air.leak.released-alone",
    "air.leak.applied-alone",
    "air.leak.released-coupled",
    "air.leak.applied-coupled",
    "air.low-pressure-warning",
    "air.trailer-supply-valve",
    "air.build-up-time",
    "air.governor.cut-in",
    "air.governor.cut-out",
    "air.lines.clearance",
    "steering.free-play",
    "coupling.fifth-wheel.play",
    "coupling.kingpin.wear",
    "suspension.slider-pins",
    "guard.rear.height",
    "guard.rear.set-in",
    "guard.rear.side-gap",
    "lamps.trailer.tape-sides",
    "lamps.trailer.tape-rear",
    "inside.floor-drains",
    "airflow.chute",
    "airflow.return-opening",
    "cooling.fuel.level",
    "cooling.setpoint",
    "cooling.return-air",
]


def test_package_catalogue__sound_and_as_large_as_the_walk() -> None:
    assert len(POINTS) >= 140
    assert sum(one.measure is not None for one in POINTS) >= 24


@pytest.mark.parametrize("name", MEASURED_AND_ASKED_FOR)
def test_measured_point__is_there_with_its_limits(name: str) -> None:
    found = point(name)
    assert found.measure is not None
    assert found.limits


@pytest.mark.parametrize("group", [group for group in PartGroup if group not in CARRIER_GROUPS])
def test_statutory_part_group__has_a_point(group: PartGroup) -> None:
    assert [one.name for one in POINTS if one.part_group is group and one.authority is Authority.STATUTORY]


@pytest.mark.parametrize("leg", CATALOGUE_LEGS)
def test_leg_of_the_walk__has_a_point(leg: Leg) -> None:
    assert [one.name for one in POINTS if one.leg is leg]


def test_every_point__reads_in_both_languages() -> None:
    for one in POINTS:
        assert set(one.text) == set(Language), one.name
        english, spanish = one.text[Language.ENGLISH], one.text[Language.SPANISH]
        assert english.title != spanish.title, one.name
        assert english.ask != spanish.ask, one.name
        assert [finding.code for finding in one.findings if set(finding.text) != set(Language)] == [], one.name


def test_every_point__belongs_to_one_subsystem_and_each_of_them_has_a_point_and_a_name() -> None:
    assert [one.name for one in POINTS if one.subsystem is None] == []
    assert {one.subsystem for one in POINTS} == set(Subsystem) == set(SUBSYSTEMS)
    assert {one.system for one in POINTS} == {subsystem.partition(".")[0] for subsystem in Subsystem} == set(SYSTEMS)


def test_stored_form_from_before_subsystems__read_without_them() -> None:
    document: Any = copy.deepcopy(load_catalogue().to_document())
    for one in document["points"]:
        del one["subsystem"]
    read = Catalogue.from_document(document).get("cab.horn")
    assert read is not None
    assert (read.system, read.subsystem) == ("cab", None)


def test_stored_catalogue_that_cannot_be_read__is_logged_and_answers_for_nothing(
    caplog: pytest.LogCaptureFixture,
) -> None:
    document: Any = copy.deepcopy(load_catalogue().to_document())
    document["points"][0]["leg"] = "roof"

    assert parsed(json.dumps(document)) is None
    assert "a stored catalogue cannot be read" in caplog.text


def test_every_name__describes_and_is_no_row_number() -> None:
    names = [one.name for one in POINTS]
    assert [name for name in names if not re.fullmatch(r"[a-z][a-z-]+(\.[a-z0-9-]{3,})+", name)] == []
    assert [name for name in names if re.search(r"(^|[.-])[tsck][0-9]{2}($|[.-])", name)] == []


def test_mechanics_point__a_driver_is_never_asked_to_measure_it_on_every_walk() -> None:
    mechanics = [one for one in POINTS if one.who.value == "mechanic"]
    assert len(mechanics) > 10
    assert [one.name for one in mechanics if one.often.value != "at_service"] == []


def test_regulation_limit__names_a_section_that_was_read_or_is_remembered() -> None:
    sources = [limit.source for one in POINTS for limit in one.limits if limit.kind is RuleKind.REGULATION]
    assert [one for one in sources if one.basis not in (Basis.READ, Basis.MEMORY) or "CFR" not in one.section] == []


def test_source_from_memory__says_so_in_words() -> None:
    assert str(point("doors.rear.seal").default_finding.source) == "21 CFR 1.906 (memory)"
    assert str(point("tires.steer.tread-depth").limits[0].source) == "49 CFR 393.75(b)"


def test_tire_tread__regulation_limit_and_own_watch_above_it() -> None:
    for name in ("tires.steer.tread-depth", "tires.drive.tread-depth", "tires.trailer.tread-depth"):
        regulation, watch = point(name).limits
        assert (regulation.kind, watch.kind) == (RuleKind.REGULATION, RuleKind.CARRIER)
        assert regulation.value is not None
        assert watch.value is not None
        assert watch.value > regulation.value


def test_hazard__its_standard_caution_stands_before_the_points_own() -> None:
    caution = point("brakes.service.pushrod-stroke").text[Language.ENGLISH].caution
    assert caution.index("never go under a unit") < caution.index("49 CFR 396.25")


def test_point_that_is_answered_coupled__is_asked_of_no_unit_alone() -> None:
    needs = [one for one in POINTS if "coupled" in one.preconditions]
    assert len(needs) > 10
    assert [one.name for one in needs if one.applies_when.get("coupled") != (True,)] == []


def test_point_that_is_answered_uncoupled__is_asked_of_no_coupled_unit() -> None:
    needs = [one for one in POINTS if "uncoupled" in one.preconditions]
    assert len(needs) > 3
    assert [one.name for one in needs if one.applies_when.get("coupled") != (False,)] == []


def test_what_rotates__is_measured() -> None:
    """What is only looked at has no value by which its turn would be known."""
    assert [one.name for one in POINTS if one.often is HowOften.ROTATING and one.measure is None] == []


def test_every_point__is_asked_by_some_form() -> None:
    asked = {
        row.point.name
        for form, kind in KIND_OF_FORM.items()
        for row in on_form(form, (AskedPoint(one, ("",)) for one in POINTS if kind in one.walks))
    }
    assert [one.name for one in POINTS if one.name not in asked] == []


def test_walking_order__legs_in_turn_then_order_then_name() -> None:
    legs = list(Leg)
    keys = [(legs.index(one.leg), one.order, one.name) for one in load_catalogue().points.values()]
    assert keys == sorted(keys)
    of_trailer = load_catalogue().for_unit_kind("trailer")
    assert {"trailer"} <= {str(kind) for one in of_trailer for kind in one.unit_kinds}
    assert all("trailer" in one.unit_kinds for one in of_trailer)
    assert [one.name for one in of_trailer] == [n for n in load_catalogue().points if n in {o.name for o in of_trailer}]


def test_stored_form__read_back_through_json_is_the_same_catalogue() -> None:
    stored = json.loads(canonical_json(load_catalogue().to_document()))
    again = Catalogue.from_document(stored)
    assert again == load_catalogue()
    assert again.content_hash == load_catalogue().content_hash


def test_content_hash__is_the_hash_of_the_canonical_json() -> None:
    catalogue = load_catalogue()
    assert catalogue.content_hash == sha256_hex(canonical_json(catalogue.to_document()))
    assert re.fullmatch(r"[0-9a-f]{64}", catalogue.content_hash)


def test_content_hash__one_changed_word_changes_it_and_the_order_of_files_does_not() -> None:
    documents = read_package_documents()
    turned = parse_catalogue(dict(reversed(documents.items())))
    assert turned.content_hash == load_catalogue().content_hash
    changed = {**documents, "cab.toml": documents["cab.toml"].replace(b"Sound it.", b"Sound it once.")}
    assert changed["cab.toml"] != documents["cab.toml"]
    assert parse_catalogue(changed).content_hash != load_catalogue().content_hash


def test_same_figure_written_otherwise__same_hash() -> None:
    documents = read_package_documents()
    text = documents["brakes.toml"]
    assert text.count(b'value = "2.5"') == 4
    otherwise = {**documents, "brakes.toml": text.replace(b'value = "2.5"', b"value = 2.50")}
    assert parse_catalogue(otherwise) == load_catalogue()
    assert parse_catalogue(otherwise).content_hash == load_catalogue().content_hash


def test_stored_form_of_another_format__refused() -> None:
    document = {**load_catalogue().to_document(), "format": 3}
    with pytest.raises(MalformedCatalogueError, match="format: Input should be 1 or 2"):
        Catalogue.from_document(document)


def test_stored_form_from_before_things_had_names__read_with_the_titles_for_them() -> None:
    document: Any = copy.deepcopy(load_catalogue().to_document()) | {"format": 1}
    for one in document["points"]:
        for words in one["text"].values():
            del words["thing"]
    read = Catalogue.from_document(document).get("brakes.parking.hold")
    assert read is not None
    assert read.text[Language.ENGLISH].thing == read.text[Language.ENGLISH].title == "Parking brake holds"


def test_unknown_name__none() -> None:
    assert load_catalogue().get("tires.steer.color") is None


def test_retired_point__stays_in_the_catalogue_under_its_name() -> None:
    retired = replace(point("cab.horn"), retired_on=point("cab.horn").retired_on)
    assert Catalogue.of([retired]).get("cab.horn") == retired
