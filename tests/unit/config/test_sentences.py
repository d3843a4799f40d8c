"""docs/sentences.md says all that the service can say: every code, every text, every defect, each in both languages."""

from pathlib import Path

import pytest

from common import messages
from common.translations import CHECKOUT, sentences_in_code
from config import sentences
from config.sentences import FILE, document, facts_without_example, main
from defects.rules.catalogue.catalogue import load_catalogue


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
    bare = {" ".join(text.split()) for text in sentences_in_code(CHECKOUT) if not messages.facts_named(text)}
    assert {text for text in bare if text not in page} == set()


def test_every_defect__is_there_by_its_name(page: str) -> None:
    for point in load_catalogue().points.values():
        for finding in point.findings:
            assert f"- `{point.name}#{finding.code}`: {point.text['en'].thing}" in page  # type: ignore[index]


def test_every_fact__has_an_example() -> None:
    assert facts_without_example() == set(), "add them to config/sentence_examples.py"


def test_page_that_is_not_what_the_code_says__found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "document", lambda _: "# Every sentence\n")
    (tmp_path / "docs").mkdir()
    (tmp_path / FILE).write_text("# Some sentences\n")
    assert main(["check"], tmp_path) == 1
    assert main(["write"], tmp_path) == 0
    assert main(["check"], tmp_path) == 0
    assert main(["sing"], tmp_path) == 2
