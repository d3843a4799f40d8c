"""Keeps docs/sentences.md: `python -m tests.support.sentences write|check`. For developers, not the service.

Every sentence that the service can say to a person, filled with an example, English and Spanish, in the order of the
files that hold them; then every text without a code, and every defect by its name. It is there to be read.
"""

import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import django
from django.utils import translation

from common import messages
from common.messages import Message
from common.translations import CHECKOUT, Place, texts_in_code
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import FailsWhen, Language, PlaceType
from defects.rules.catalogue.places import NamedFault, name_of_fault
from defects.rules.catalogue.points import Measure, Point
from tests.support.sentence_examples import FACTS, FACTS_OF

FILE = Path("docs", "sentences.md")
EXAMPLE_PLACES = {
    PlaceType.AXLE: "axle-2",
    PlaceType.WHEEL_END: "axle-2-right",
    PlaceType.DUAL_PAIR: "axle-2-right",
    PlaceType.TIRE: "axle-2-right-outer",
}
HEAD = """# Every sentence

Written by `make sentences`; do not edit. Each sentence of the service stands under the file that holds it, with its
code, filled with an example of the demo carrier, in English and in Spanish. Texts without a code (labels, forms, the
unit's file) come after the sentences of their file, as they stand in it. Every defect of the catalogue by its name
comes last.
"""


@dataclass(frozen=True, order=True)
class Home:
    """Where a text stands in the code; messages come before whatever else uses the same text."""

    elsewhere: bool
    place: Place


def document(root: Path) -> str:
    """The whole page."""
    homes = _homes(root)
    codes: dict[str, list[str]] = defaultdict(list)
    for code in messages.registered_codes():
        codes[_english(messages.wording(code).template)].append(code)
    titles = {_english(messages.wording(code).title) for code in messages.registered_codes()}
    pages: dict[str, list[str]] = defaultdict(list)
    for text, home in sorted(homes.items(), key=lambda item: item[1]):
        if text in codes:
            pages[home.place.file] += [line for code in codes[text] for line in _said(code)]
    for text, home in sorted(homes.items(), key=lambda item: item[1]):
        if text not in codes and text not in titles:
            pages[home.place.file] += [f"- {_inline(text)}", f"  - {_inline(_translated(text))}"]
    elsewhere = (code for text in sorted(codes.keys() - homes.keys()) for code in codes[text])
    pages["Not in the code, or the same in every language"] = [
        line for code in sorted(elsewhere) for line in _said(code)
    ]
    parts = [f"## {file}\n\n" + "\n".join(pages[file]) + "\n" for file in sorted(pages)]
    return "\n".join([HEAD, *parts, "## Defects by their names\n\n" + "\n".join(_defects()) + "\n"])


def facts_without_example() -> set[str]:
    """Every fact that a sentence names and no example is given of."""
    named = {
        code: messages.facts_named(_english(messages.wording(code).template)) for code in messages.registered_codes()
    }
    return {fact for code, facts in named.items() for fact in facts - {*FACTS, *FACTS_OF.get(code, ())}}


def _homes(root: Path) -> dict[str, Home]:
    found: dict[str, Home] = {}
    for text, place in texts_in_code(root):
        home = Home("messages" not in place.file and "notice_texts" not in place.file, place)
        found[text] = min(home, found.get(text, home))
    return found


def _english(template: object) -> str:
    with translation.override("en"):
        return str(template)


def _translated(text: str) -> str:
    with translation.override("es"):
        return translation.gettext(text)


def _said(code: str) -> Iterator[str]:
    wording = messages.wording(code)
    named = messages.facts_named(_english(wording.template))
    facts: dict[str, object] = {**{fact: f"[{fact}]" for fact in named}, **FACTS, **FACTS_OF.get(code, {})}
    for language, mark in zip(Language, (f"- `{code}`: ", "  - "), strict=True):
        with translation.override(language):
            title = str(wording.title)
        said = messages.render(Message(code, {fact: facts[fact] for fact in named}), language)
        yield mark + _inline(" · ".join(filter(None, (title, said))))


def _inline(text: str) -> str:
    return " ".join(text.split())


def _defects() -> Iterator[str]:
    """Each finding of each point, and each measured point with a value past a limit, at the first of its places."""
    for point in load_catalogue().points.values():
        place = next(iter(point.places), EXAMPLE_PLACES.get(point.place_type, ""))
        faults = [NamedFault(point.name, place, finding=finding.code) for finding in point.findings]
        if point.measure is not None and point.limits:
            faults.append(_past_a_limit(point, place, point.measure))
        for fault in faults:
            english, spanish = (name_of_fault(fault, point, language) for language in Language)
            yield f"- `{point.name}#{fault.finding or 'value'}`: {english}"
            yield f"  - {spanish}"


def _past_a_limit(point: Point, place: str, measure: Measure) -> NamedFault:
    """A value past the point's first limit; of a share the percentage stands for the figure."""
    limit = point.limits[0]
    figure = limit.value or limit.high or (limit.share.percent if limit.share else Decimal(0))
    step = figure / 10 or Decimal(1)
    value = figure - step if limit.fails_when in {FailsWhen.BELOW, FailsWhen.AT_OR_BELOW} else figure + step
    return NamedFault(point.name, place, value=value, unit_of_measure=str(measure.unit_of_measure), limit_value=figure)


def main(arguments: list[str], root: Path = CHECKOUT) -> int:
    """Write the page, or compare it; 0 when it is as it should be, 1 when not, 2 for an unknown command."""
    if arguments not in (["write"], ["check"]):
        sys.stderr.write("usage: python -m tests.support.sentences write|check\n")
        return 2
    made = document(root)
    if arguments == ["write"]:
        (root / FILE).write_text(made)
        return 0
    if (root / FILE).read_text() == made:
        return 0
    sys.stderr.write(f"{FILE} is not what the code says: run make sentences\n")
    return 1


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings.test")
    django.setup()
    sys.exit(main(sys.argv[1:]))
