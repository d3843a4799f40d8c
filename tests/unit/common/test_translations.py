"""The Spanish catalogue follows the code, the compiled one follows the catalogue, and each gap is found."""

import io
from pathlib import Path

import pytest
from babel.messages.mofile import read_mo

from common import translations
from common.translations import CATALOGUE, CHECKOUT, check, main

PO_HEADER = 'msgid ""\nmsgstr ""\n"Language: es\\n"\n"Content-Type: text/plain; charset=UTF-8\\n"\n\n'


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for folder in translations.FOLDERS:
        (tmp_path / folder / "api").mkdir(parents=True)
    code = 'from django.utils.translation import gettext_lazy as _\nA = _("A {thing} is late")\nB = _("By %(who)s")\n'
    (tmp_path / "fleet" / "api" / "messages.py").write_text(code)
    (tmp_path / "common" / "plain.py").write_text('C = gettext("Closed")\nD = other("Not marked")\n')
    (tmp_path / "pages" / "templates").mkdir()
    (tmp_path / "pages" / "templates" / "page.html").write_text('{% load i18n %}<p>{% translate "Sealed" %}</p>')
    return tmp_path


def translate(root: Path, **pairs: str) -> None:
    path = root / CATALOGUE
    content = path.read_text()
    for english, spanish in pairs.items():
        before = f'msgid "{ENGLISH[english]}"\nmsgstr ""'
        assert before in content
        content = content.replace(before, f'msgid "{ENGLISH[english]}"\nmsgstr "{spanish}"')
    path.write_text(content)


ENGLISH = {"late": "A {thing} is late", "by": "By %(who)s", "closed": "Closed", "sealed": "Sealed"}
SPANISH = {"late": "{thing} llega tarde", "by": "Por %(who)s", "closed": "Cerrado", "sealed": "Sellado"}


@pytest.fixture
def translated(checkout: Path) -> Path:
    assert main(["extract"], checkout) == 0
    translate(checkout, **SPANISH)
    assert main(["compile"], checkout) == 0
    return checkout


def test_committed_catalogue__complete_and_compiled() -> None:
    assert check(CHECKOUT) == []


def test_committed_compiled_catalogue__holds_what_the_sentences_say() -> None:
    served = read_mo(io.BytesIO((CHECKOUT / CATALOGUE).with_suffix(".mo").read_bytes()))
    assert served["Too many requests"].string == "Demasiadas solicitudes"


def test_extract__every_marked_sentence_sorted_without_places(checkout: Path) -> None:
    assert main(["extract"], checkout) == 0
    assert (checkout / CATALOGUE).read_text() == (
        f'{PO_HEADER}#, python-brace-format\nmsgid "A {{thing}} is late"\nmsgstr ""\n\n'
        f'#, python-format\nmsgid "By %(who)s"\nmsgstr ""\n\nmsgid "Closed"\nmsgstr ""\n\n'
        f'msgid "Sealed"\nmsgstr ""\n\n'
    )


def test_extract_again__keeps_translations_and_changes_nothing(translated: Path) -> None:
    before = (translated / CATALOGUE).read_bytes()
    assert main(["extract"], translated) == 0
    assert (translated / CATALOGUE).read_bytes() == before
    assert "llega tarde" in before.decode()


def test_complete_and_compiled__no_fault(translated: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (main(["check"], translated), capsys.readouterr().err) == (0, "")


def test_new_sentence_in_the_code__not_translated(translated: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (translated / "defects" / "new.py").write_text('E = gettext_lazy("New")\n')
    assert (main(["check"], translated), capsys.readouterr().err) == (1, "not translated: New\n")


def test_sentence_gone_from_the_code__said(translated: Path) -> None:
    (translated / "common" / "plain.py").unlink()
    assert check(translated) == ["no longer in the code: Closed"]


@pytest.mark.parametrize(
    ("right", "wrong"),
    [("{thing} llega", "{cosa} llega"), ("{thing} llega", "llega"), ("Por %(who)s", "Por %(quien)s")],
)
def test_other_facts_in_the_translation__said(translated: Path, right: str, wrong: str) -> None:
    path = translated / CATALOGUE
    path.write_text(path.read_text().replace(right, wrong))
    main(["compile"], translated)
    [fault] = check(translated)
    assert fault.startswith("other facts than in the original: ")


def test_translation_changed_after_compiling__stale(translated: Path) -> None:
    path = translated / CATALOGUE
    path.write_text(path.read_text().replace("Cerrado", "Está cerrado"))
    stale = "common/locale/es/LC_MESSAGES/django.mo is not what the .po compiles to: run compile"
    assert check(translated) == [stale]
    path.with_suffix(".mo").unlink()
    assert check(translated) == [stale]


def test_fuzzy_translation__does_not_count(translated: Path) -> None:
    path = translated / CATALOGUE
    path.write_text(path.read_text().replace('msgid "Closed"', '#, fuzzy\nmsgid "Closed"'))
    main(["compile"], translated)
    assert check(translated) == ["not translated: Closed"]


@pytest.mark.parametrize("arguments", [[], ["nothing"], ["check", "twice"]])
def test_unknown_command__says_how(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert capsys.readouterr().err == "usage: python -m common.translations extract|compile|check\n"
