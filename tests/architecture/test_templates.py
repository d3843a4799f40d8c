"""Templates and files of the pages: nothing inline, nothing from elsewhere, every text in the catalogue."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from config.env import CHECKOUT

TEMPLATES = sorted((CHECKOUT / "pages" / "templates").rglob("*.html"))
STATIC = sorted(path for path in (CHECKOUT / "pages" / "static").rglob("*") if path.suffix in {".css", ".js", ".svg"})
SAID = re.compile(r"{%\s*(blocktranslate)\b.*?%}.*?{%\s*endblocktranslate\s*%}|{%.*?%}|{{.*?}}|{#.*?#}", re.DOTALL)
NO_WORDS = re.compile(r"[^\W\d_]{2,}")


class Read(HTMLParser):
    """What of a template the policy refuses, and the words that no catalogue holds."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.refused: list[str] = []
        self.words: list[str] = []
        self.within = ""
        self.feed(SAID.sub(" ", text))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = {name for name, _ in attrs}
        self.within = tag
        self.refused += [name for name in names if name.startswith("on") or name in {"style", "srcdoc"}]
        self.refused += ["style"] if tag == "style" else []
        self.refused += [f"{name}={value}" for name, value in attrs if value and value.startswith("javascript:")]

    def handle_data(self, data: str) -> None:
        if self.within == "script" and data.strip():
            self.refused.append("script")
        self.words += NO_WORDS.findall(data)

    def handle_endtag(self, tag: str) -> None:
        self.within = ""


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_template__has_nothing_inline_and_each_text_in_the_catalogue(path: Path) -> None:
    read = Read(path.read_text(encoding="utf-8"))
    assert (read.refused, read.words) == ([], [])


@pytest.mark.parametrize("path", [*TEMPLATES, *STATIC], ids=lambda path: path.name)
def test_file__names_no_address_elsewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert re.findall(r"https?://\S+", text) == []


def test_files__are_looked_at() -> None:
    assert len(TEMPLATES) > 5
    assert len(STATIC) > 5


@pytest.mark.parametrize(
    "text",
    ["<p onclick='a()'>", "<p style='x'>", "<style>p{}</style>", "<script>a()</script>", "<a href='javascript:a()'>"],
)
def test_what_the_policy_refuses__is_found(text: str) -> None:
    assert Read(text).refused


def test_text_outside_the_catalogue__is_found() -> None:
    assert Read("<p>{% translate 'Yes' %} and {{ this }}</p>").words == ["and"]
