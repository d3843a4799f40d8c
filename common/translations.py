"""Keeps the Spanish catalogue: `python -m common.translations extract|compile|check`. For developers, not the service.

Does what Django's makemessages and compilemessages do, without the gettext programs. The English sentences in the
code and in templates are the keys; `common/locale/es/LC_MESSAGES/django.po` holds the translations, and `django.mo`
beside it is what is served.
"""

import io
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from babel.messages import Catalog, Message
from babel.messages.extract import extract, extract_from_dir
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

from common.messages import facts_named

CHECKOUT = Path(__file__).resolve().parent.parent
FOLDERS = ("common", "fleet", "defects", "workorders", "pages", "config")
LANGUAGE = "es"
CATALOGUE = Path("common", "locale", LANGUAGE, "LC_MESSAGES", "django.po")
KEYWORDS: dict[str, tuple[int, ...] | None] = {"gettext": None, "gettext_lazy": None, "_": None}
"""The functions whose first argument is a sentence; plurals and contexts are not used (a sentence per code)."""


@dataclass(frozen=True, order=True)
class Place:
    """Where a text stands: the file below the checkout, and the line."""

    file: str
    line: int


def texts_in_code(root: Path) -> Iterator[tuple[str, Place]]:
    """Every text that the code and the templates under `root` mark for translation, wherever it stands."""
    for folder in FOLDERS:
        methods = [("**/tests/**", "ignore"), ("**.py", "python")]
        for name, line, text, _, _ in extract_from_dir(root / folder, methods, keywords=KEYWORDS):
            yield _whole(text), Place(f"{folder}/{name}", line)
        for path in sorted((root / folder).rglob("templates/**/*.html")):
            source = io.BytesIO(templatize(path.read_text(encoding="utf-8")).encode())
            for line, text, _, _ in extract("python", source, keywords=KEYWORDS):
                yield _whole(text), Place(path.relative_to(root).as_posix(), line)


def sentences_in_code(root: Path) -> set[str]:
    """Return every sentence that the code and the templates under `root` mark for translation."""
    return {text for text, _ in texts_in_code(root)}


def _whole(text: str | tuple[str, ...] | list[str]) -> str:
    return text if isinstance(text, str) else text[0]


def read_catalogue(root: Path) -> Catalog:
    """Return the translations; an empty catalogue where there is no file yet."""
    path = root / CATALOGUE
    if not path.exists():
        return Catalog(locale=LANGUAGE, charset="utf-8")
    with path.open("rb") as file:
        return read_po(file, locale=LANGUAGE, charset="utf-8", abort_invalid=True)


def extract_sentences(root: Path) -> list[str]:
    """Bring the catalogue's sentences up to the code's, keeping what is translated, sorted. Returns no faults."""
    known = read_catalogue(root)
    catalogue = Catalog(locale=LANGUAGE, charset="utf-8")
    for sentence in sorted(sentences_in_code(root)):
        translated = known.get(sentence)
        catalogue.add(sentence, translated.string if translated else "")
    path = root / CATALOGUE
    path.parent.mkdir(parents=True, exist_ok=True)
    content = io.BytesIO()
    write_po(content, catalogue, width=0, omit_header=True)
    header = f'msgid ""\nmsgstr ""\n"Language: {LANGUAGE}\\n"\n"Content-Type: text/plain; charset=UTF-8\\n"\n\n'
    path.write_bytes(header.encode() + content.getvalue())
    return []


def compile_catalogue(root: Path) -> list[str]:
    """Write the `.mo` beside the `.po`. Returns no faults."""
    (root / CATALOGUE).with_suffix(".mo").write_bytes(compiled(root))
    return []


def compiled(root: Path) -> bytes:
    """Return what the `.mo` must hold; its header names the version of Babel, so compare the sentences alone."""
    catalogue = read_catalogue(root)
    bare = Catalog(locale=LANGUAGE, charset="utf-8")
    for message in sorted(_translated(catalogue), key=lambda message: str(message.id)):
        bare.add(message.id, message.string)
    content = io.BytesIO()
    write_mo(content, bare)
    return content.getvalue()


def check(root: Path) -> list[str]:
    """Return what is wrong: sentences without translation, or without code; facts that differ; a stale `.mo`."""
    catalogue = read_catalogue(root)
    translated = {str(message.id): str(message.string) for message in _translated(catalogue)}
    wanted = sentences_in_code(root)
    faults = [f"not translated: {sentence}" for sentence in sorted(wanted - translated.keys())]
    faults += [f"no longer in the code: {sentence}" for sentence in sorted(translated.keys() - wanted)]
    for sentence, translation in sorted(translated.items()):
        if _facts(sentence) != _facts(translation):
            faults.append(f"other facts than in the original: {translation}")
    served = (root / CATALOGUE).with_suffix(".mo")
    if not served.exists() or _pairs(served.read_bytes()) != _pairs(compiled(root)):
        faults.append(f"{served.relative_to(root)} is not what the .po compiles to: run compile")
    return faults


def _translated(catalogue: Catalog) -> Iterator[Message]:
    return (message for message in catalogue if message.id and message.string and not message.fuzzy)


def _facts(template: str) -> set[str]:
    """Return the names a sentence is filled with, written `{name}` or `%(name)s`."""
    return facts_named(template) | set(re.findall(r"%\((\w+)\)", template))


def _pairs(content: bytes) -> dict[str, str]:
    return {str(message.id): str(message.string) for message in read_mo(io.BytesIO(content)) if message.id}


COMMANDS: dict[str, Callable[[Path], list[str]]] = {
    "extract": extract_sentences,
    "compile": compile_catalogue,
    "check": check,
}


def main(arguments: list[str], root: Path = CHECKOUT) -> int:
    """Run one command; print its faults; 0 when there are none, 1 when there are, 2 for an unknown command."""
    if len(arguments) != 1 or arguments[0] not in COMMANDS:
        sys.stderr.write(f"usage: python -m common.translations {'|'.join(COMMANDS)}\n")
        return 2
    faults = COMMANDS[arguments[0]](root)
    sys.stderr.write("".join(f"{fault}\n" for fault in faults))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
