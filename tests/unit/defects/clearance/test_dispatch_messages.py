"""Whatever an answer says, it is said in both languages, with all its facts, and the facts are those of the API."""

from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import Phase, find, given, settings
from pydantic import TypeAdapter

from common.messages import facts_named, wording
from defects.api.clearance.reason_facts import Facts
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.meanings import CODES
from defects.rules.clearance.snapshot import Snapshot
from defects.selectors.clearance.reason_messages import Reader, end_words, ending_words, reason_words
from defects.services.clearance.clearances import answer_columns
from tests.unit.defects.clearance.strategies import promising, snapshots

READERS = [Reader(load_catalogue(), ZoneInfo("America/Chicago"), language) for language in ("en", "es")]
NAMES = set(Facts.__annotations__)
FACTS = TypeAdapter(Facts)
OTHERS = {"unit", "what", "put_right", "document", "why", "area", "places", "limits", "left"}
"""What the words are filled with besides the facts as stored."""


def sentences(snapshot: Snapshot) -> list[str]:
    """Everything that is said of an answer; MissingFactError for a sentence without one of its facts."""
    columns: dict[str, Any] = answer_columns(answer_clearance(snapshot))
    ending, open_rows = [*columns["reasons"], *columns["unknown"]], columns["left_open"]
    for row in [*ending, *open_rows]:
        assert FACTS.validate_python(row["facts"], strict=True) == row["facts"]
    said = [words for row in ending for words in _worded(row)]
    said += [reason_words(row, reader) for row in open_rows for reader in READERS]
    if columns["first_to_end_it"] is not None:
        said += [ending_words(columns["first_to_end_it"], reader) for reader in READERS]
    return said


def _worded(row: dict[str, Any]) -> list[str]:
    return [words for reader in READERS for words in (reason_words(row, reader), end_words(row, reader.language))]


def test_answers_made_up__have_much_to_say_and_ends_to_name() -> None:
    first = settings(phases=[Phase.generate])
    assert find(snapshots, lambda snapshot: len(sentences(snapshot)) > 10, settings=first)
    assert find(promising, lambda snapshot: answer_clearance(snapshot).first_to_end_it is not None, settings=first)


@given(snapshots)
def test_any_answer__is_said_whole_in_both_languages(snapshot: Snapshot) -> None:
    for sentence in sentences(snapshot):
        assert sentence
        assert not facts_named(sentence)


@given(promising)
def test_any_promise__says_what_ends_it(snapshot: Snapshot) -> None:
    for sentence in sentences(snapshot):
        assert sentence


@pytest.mark.parametrize("code", list(Code))
def test_every_code__has_a_sentence_that_asks_for_known_facts_alone(code: Code) -> None:
    assert facts_named(str(wording(f"clearance_{code}").template)) <= NAMES | OTHERS


@pytest.mark.parametrize("ends_when", list(EndsWhen))
def test_every_end__has_a_sentence_without_facts(ends_when: EndsWhen) -> None:
    assert facts_named(str(wording(f"ends_{ends_when}").template)) == set()


def test_sentences__never_say_that_anything_is_safe() -> None:
    said = [str(wording(f"clearance_{code}").template).lower() for code in CODES]
    said += [str(wording(f"answer_{answer}").template).lower() for answer in ("barred", "after_driver_steps")]
    said.append(str(wording("answer_nothing_known_against").template).lower())
    assert [sentence for sentence in said if "safe" in sentence.split()] == []


def worded(code: str, unit: str = "LR-46", **facts: Any) -> list[str]:
    row = {"code": code, "unit": unit, "facts": facts}
    return [reason_words(row, reader) for reader in READERS]


def test_words_of_what_is_more_than_plain() -> None:
    for reason in ("smells of fuel", "smells of fuel."):
        assert worded("carrier_hold", hold="7", reason=reason)[0] == "LR-46: hold 7 is active: smells of fuel."
    named = {"point": "lamps.trailer.turn", "place": "left", "finding": "out"}
    assert worded("carrier_hold", hold="7", **named) == [
        "LR-46: hold 7 is active: Trailer turn signal, left: out.",
        "LR-46: la retención 7 está activa: Direccional del remolque, izquierda: apagada.",
    ]
    assert worded("fuel_to_add", add_gal=60, more_than_the_tank_holds=True)[0] == (
        "LR-46: 60 gallons short. Fill the tank and refuel on the way."
    )
    assert worded("fuel_to_add", add_gal=7, reserve_gal=5, more_than_the_tank_holds=False) == [
        "LR-46: add 7 gallons, counted as always running. 5 gallons stay in reserve.",
        "LR-46: añada 7 galones, contados como marcha continua. 5 galones quedan de reserva.",
    ]
    assert (
        worded("fuel_to_add", add_gal=7, more_than_the_tank_holds=False)[0]
        == "LR-46: add 7 gallons of fuel, counted as always running."
    )
    assert worded("area_not_reached", area="tires", why="flagged")[0] == (
        "LR-46: tires: an answer cannot be used. Check again."
    )
    points = ["cab.horn", "tires.trailer.body axle-1-left-outer", "no.such.point"]
    assert worded("no_answer_recorded", points=points[:2], count=2) == [
        "LR-46: no answer yet: Horn; Trailer tire, axle 1 left outer.",
        "LR-46: todavía sin respuesta: Bocina; Llanta de remolque, eje 1 izquierda exterior.",
    ]
    assert worded("no_answer_recorded", points=points, count=9)[0].startswith(
        "LR-46: 9 points have no answer yet, first Horn."
    )
    places = ["NL-13 axle-1-left", "QX-9@Gravelspoon Foods axle-1-right"]
    english, spanish = worded("steering_axle_brake", "", places=places)
    assert english.endswith(": NL-13 axle 1 left, QX-9@Gravelspoon Foods axle 1 right.")
    assert spanish.endswith(": NL-13 eje 1 izquierda, QX-9@Gravelspoon Foods eje 1 derecha.")
    assert [text.partition(",")[0] for text in worded("document_missing", "", document="insurance")] == [
        "The carrier",
        "El transportista",
    ]
    assert worded("document_missing", "", document="medical_certificate")[0].startswith("The driver, ")
