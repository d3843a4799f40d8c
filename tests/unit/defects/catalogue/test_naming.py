"""A defect is named by its fault: the thing, where, and what is wrong. The title of the check never names one."""

import re
from decimal import Decimal

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.places import NamedFault, name_of_fault

POINTS = list(load_catalogue().points.values())
EVERY = [(point, finding, language) for point in POINTS for finding in point.findings for language in Language]
ENGLISH = Language.ENGLISH


def named(point: str, place: str = "", finding: str = "", language: Language = ENGLISH) -> str:
    return name_of_fault(NamedFault(point, place, finding=finding), load_catalogue().get(point), language)


def test_every_finding__is_named_by_the_thing_and_then_what_is_wrong() -> None:
    wrong = []
    for point, finding, language in EVERY:
        text, name = point.text[language], named(point.name, finding=finding.code, language=language)
        names_the_check = text.title not in text.thing and text.title in name
        if name != f"{text.thing}: {finding.text[language]}" or names_the_check:
            wrong.append((point.name, finding.code, name))
    assert wrong == []


def test_every_finding__reads_after_a_colon_in_at_most_fifteen_words() -> None:
    assert [
        (point.name, finding.code, language)
        for point, finding, language in EVERY
        if not _reads_after_a_colon(finding.text[language])
        or len(f"{point.text[language].thing}: {finding.text[language]}".split()) > 15
    ] == []


def test_what_a_driver_is_to_do__at_most_fifteen_words_a_sentence() -> None:
    """Cautions too, but that a semicolon ends a sentence there."""
    said = [text for point in POINTS for text in point.text.values()]
    sentences = [part for text in said for part in re.split(r"(?<=[.?!]) ", f"{text.ask} {text.put_right}")]
    sentences += [part for text in said for part in re.split(r"(?<=[.?!;]) ", text.caution)]
    assert len(sentences) > 300
    assert sorted({part for part in sentences if len(part.split()) > 15}) == []


def _reads_after_a_colon(said: str) -> bool:
    return said == said.strip(" .:") and said[0].islower() and ":" not in said


def test_every_thing__differs_by_language_and_holds_no_colon() -> None:
    things = {point.name: [point.text[language].thing for language in Language] for point in POINTS}
    assert {name for name, said in things.items() if len(set(said)) < len(said)} == set()
    assert {name for name, said in things.items() if any(":" in each or each.endswith(".") for each in said)} == set()


def test_no_two_points__name_the_same_fault_alike() -> None:
    for language in Language:
        names = [named(point.name, finding=one.code, language=language) for point in POINTS for one in point.findings]
        assert sorted(names) == sorted(set(names))


@pytest.mark.parametrize(
    ("point", "place", "finding", "english", "spanish"),
    [
        (
            "brakes.parking.hold",
            "",
            "moves",
            "Parking brake: the vehicle moves",
            "Freno de estacionamiento: el vehículo se mueve",
        ),
        (
            "tires.trailer.body",
            "axle-1-left-outer",
            "valve_cap_missing",
            "Trailer tire, axle 1 left outer: valve cap missing",
            "Llanta de remolque, eje 1 izquierda exterior: falta el tapón de válvula",
        ),
        (
            "coupling.fifth-wheel.jaws",
            "",
            "not_closed",
            "Fifth-wheel jaws: not closed, or closed on the head of the pin",
            "Mordazas de la quinta rueda: no cierran, o cierran sobre la cabeza del perno",
        ),
        (
            "inside.cleanliness",
            "",
            "pest_sign",
            "Inside of the box: sign of pests",
            "Interior de la caja: señal de plagas",
        ),
    ],
)
def test_fault_of_a_check_whose_title_says_the_opposite__named_by_what_was_found(
    point: str, place: str, finding: str, english: str, spanish: str
) -> None:
    assert named(point, place, finding) == english
    assert named(point, place, finding, Language.SPANISH) == spanish


def measured(point: str, value: str, unit: str, limit: str, language: Language = ENGLISH, **more: str) -> str:
    fault = NamedFault(point, value=Decimal(value), unit_of_measure=unit, limit_value=Decimal(limit), **more)
    return name_of_fault(fault, load_catalogue().get(point), language)


def test_value_past_its_limit__value_and_limit_are_what_is_wrong() -> None:
    stroke = "brakes.service.pushrod-stroke"
    assert (
        measured(stroke, "2.3100", "in", "2.0000", place="axle-2-right")
        == "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
    )
    assert measured(stroke, "2.31", "in", "2", Language.SPANISH).endswith(": 2.31 in, límite 2 in")


def test_value_that_thing_and_unit_leave_open__says_what_it_is_of() -> None:
    assert measured("cab.windshield", "4", "in", "0.75") == "Windshield: damage of 4 in, limit 0.75 in"
    assert measured("airflow.chute", "3", "count", "2") == "Air chute: fasteners missing 3, limit 2"
    assert measured("airflow.chute", "3", "count", "2", Language.SPANISH) == (
        "Ducto de aire: sujetadores faltantes 3, límite 2"
    )


def test_finding_with_a_value_taken_along__finding_first() -> None:
    fault = NamedFault("cab.windshield", finding="outside_drivers_view", value=Decimal("0.5"), unit_of_measure="in")
    point = load_catalogue().get("cab.windshield")
    assert name_of_fault(fault, point, ENGLISH) == "Windshield: damage outside the driver's view, damage of 0.5 in"


def test_fault_in_the_finders_own_words__left_as_it_is() -> None:
    assert name_of_fault(NamedFault("", text="Thumps when braking"), None, ENGLISH) == "Thumps when braking"


def test_point_noted_without_a_finding__the_words_that_came_with_it() -> None:
    fault = NamedFault("brakes.hub-seal", "axle-1-left", text="seal gone")
    point = load_catalogue().get("brakes.hub-seal")
    assert name_of_fault(fault, point, ENGLISH) == "Hub oil or wheel seal, axle 1 left: finding not named: seal gone"


def test_nothing_known_but_the_point__the_thing_alone() -> None:
    assert named("brakes.parking.hold") == "Parking brake"


def test_point_that_the_catalogue_no_longer_has__by_its_name() -> None:
    fault = NamedFault("company.gone", finding="loose")
    assert name_of_fault(fault, None, ENGLISH) == "company.gone: loose"
