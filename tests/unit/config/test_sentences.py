"""docs/sentences.md says all that the service can say: every code, every text, every defect, each in both languages."""

import re
from pathlib import Path

import pytest

from common import messages
from common.messages import Wording
from common.translations import CHECKOUT, read_catalogue
from defects.messages import catalogue, moves, refusals, reviews
from defects.messages.clearance import reasons
from defects.messages.walkarounds import flags, receipts, reports
from defects.rules.catalogue.catalogue import load_catalogue
from tests.support import sentences
from tests.support.sentences import FILE, document, facts_without_example, main


@pytest.fixture(scope="module")
def page() -> str:
    return document(CHECKOUT)


def test_committed_page__is_what_the_code_says(page: str) -> None:
    assert (CHECKOUT / FILE).read_text() == page, "run make sentences"


def test_every_code__is_there_once_in_english_and_once_in_spanish(page: str) -> None:
    lines = page.splitlines()
    for code in messages.registered_codes():
        (at,) = [number for number, line in enumerate(lines) if line.startswith(f"- `{code}`: ")]
        assert lines[at + 1].startswith("  - ")


def test_every_translated_text__is_there(page: str) -> None:
    """`tests/unit/common/test_translations.py` holds that the catalogue has every text of the code."""
    texts = [str(message.id) for message in read_catalogue(CHECKOUT)]
    bare = {" ".join(text.split()) for text in texts if not messages.facts_named(text)}
    assert len(bare) > 100
    assert {text for text in bare if text not in page} == set()


def test_every_defect__is_there_by_its_name(page: str) -> None:
    for point in load_catalogue().points.values():
        for finding in point.findings:
            assert f"- `{point.name}#{finding.code}`: {point.text['en'].thing}" in page  # type: ignore[index]


def test_every_fact__has_an_example() -> None:
    assert facts_without_example() == set(), "add them to tests/support/sentence_examples.py"


def test_page_that_is_not_what_the_code_says__found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "document", lambda _: "# Every sentence\n")
    (tmp_path / "docs").mkdir()
    (tmp_path / FILE).write_text("# Some sentences\n")
    assert main(["check"], tmp_path) == 1
    assert main(["write"], tmp_path) == 0
    assert main(["check"], tmp_path) == 0
    assert main(["sing"], tmp_path) == 2


LONGEST = 15
"""Words in a sentence that a driver reads beside a vehicle; a fact counts as one."""
TO_DRIVERS = (receipts, reasons, flags, reports, catalogue, moves, refusals, reviews)


def lengths(template: str) -> list[tuple[int, str]]:
    """The sentences of a text, each with its count of words."""
    return [(len(said.split()), said) for said in re.split(r"(?<=[.!?]) (?=[A-Z{])", template)]


def test_sentences_for_drivers__at_most_fifteen_words() -> None:
    texts = [
        str(said.template if isinstance(said, Wording) else said)
        for module in TO_DRIVERS
        for said in module.MESSAGES.values()
    ]
    assert len(texts) > 100
    assert [said for text in texts for count, said in lengths(text) if count > LONGEST] == []


def test_sentence_of_sixteen_words__counted() -> None:
    assert lengths("Stop. {unit}: a b c d e f g h i j k l m n o.") == [
        (1, "Stop."),
        (16, "{unit}: a b c d e f g h i j k l m n o."),
    ]
