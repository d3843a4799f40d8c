"""What the pages for operators and newcomers name is there: commands with their options, targets, files, headings."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from django.core.management import get_commands, load_command_class
from django.core.management.base import BaseCommand

from config.env import CHECKOUT
from defects.rules.catalogue.tightening import read_carrier_rule
from fleet.rules.carrier.policies import POLICIES, check_policy

PAGES = ("README.md", "DEVELOPERS.md", "docs/operation.md")
COMMAND = re.compile(
    r"(?:\bmanage\.py|^manage|(?<=`)manage|(?<=\| )manage|(?<=\()manage) ([a-z_]+)([^`|\n#]*)", re.MULTILINE
)
TARGET = re.compile(r"(?:(?<=`)|^)make ([a-z][a-z-]*)", re.MULTILINE)
MODULE = re.compile(r"python3? -m ((?:config|common|tests)[a-z_.]*)")
FILE = re.compile(r"(?<=[` ])((?:config|docs|fleet|tests|fixtures|requirements)/[\w./-]*\w)")
ANCHOR = re.compile(r"\]\(#([^)]+)\)")
SERVICE = re.compile(
    r"docker-compose (?:exec(?: -T)?|stop|up -d|logs(?: --\S+)*|restart|run --rm|ps) ([a-z]+(?: [a-z]+)*)"
)

DECISION = re.compile(r"^\| `([a-z_]+)` \| [^|]+ \| `([^`|]+)` \| `([^`|]+)` \|$", re.MULTILINE)


def text_of(page: str) -> str:
    return (CHECKOUT / page).read_text()


def named(pattern: re.Pattern[str], *pages: str) -> set[str]:
    return {found[1] for page in pages or PAGES for found in pattern.finditer(text_of(page))}


def commands() -> Iterator[tuple[str, str]]:
    for page in PAGES:
        for found in COMMAND.finditer(text_of(page)):
            yield found[1], found[2]


def load(name: str) -> BaseCommand:
    app = get_commands()[name]
    return app if isinstance(app, BaseCommand) else load_command_class(app, name)


def test_search__finds_what_it_should() -> None:
    assert {"doctor", "found_carrier", "first_passwords", "import_rows", "migrate", "back_up"} <= {
        n for n, _ in commands()
    }
    assert {"demo", "drills"} <= named(TARGET)
    assert "config/deploy/nginx.conf" in named(FILE)
    assert "proxy-and-tls" in named(ANCHOR, "docs/operation.md")
    assert "worker" in {word for words in named(SERVICE) for word in words.split()}


def test_commands__are_there_with_their_options() -> None:
    missing = set()
    for name, rest in commands():
        if name not in get_commands():
            missing.add(name)
            continue
        known = load(name).create_parser("manage.py", name)._option_string_actions
        missing |= {f"{name} {option}" for option in re.findall(r"(?<= )--[a-z-]+", rest) if option not in known}
    assert missing == set()


def test_targets__are_those_of_the_makefile() -> None:
    assert named(TARGET) - set(re.findall(r"^([a-z-]+):", (CHECKOUT / "Makefile").read_text(), re.MULTILINE)) == set()


@pytest.mark.parametrize("pattern", [FILE, MODULE], ids=["files", "modules"])
def test_files_and_modules__are_there(pattern: re.Pattern[str]) -> None:
    def there(name: str) -> bool:
        place = CHECKOUT / (name.replace(".", "/") if pattern is MODULE else name)
        return place.exists() or Path(f"{place}.py").exists()

    assert {name for name in named(pattern) if not there(name)} == set()


def test_links_within_the_page_for_operators__lead_to_a_heading() -> None:
    text = text_of("docs/operation.md")
    headings = {
        re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-")
        for heading in re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    }
    assert set(ANCHOR.findall(text)) - headings == set()


def test_services__are_those_of_compose() -> None:
    services = set(yaml.safe_load((CHECKOUT / "docker-compose.yml").read_text())["services"])
    first = {words.split()[0] for words in named(SERVICE, "docs/operation.md")}
    assert first - services == set()


def test_headings_of_the_page_for_operators__have_something_under_them() -> None:
    sections = re.split(r"^## (.+)$", text_of("docs/operation.md"), flags=re.MULTILINE)[1:]
    empty = [title for title, text in zip(sections[::2], sections[1::2], strict=True) if not text.strip()]
    assert set(empty) <= {"Backup", "Restore", "Moving to another host", "Verifying histories"}


def test_policies__all_described_with_their_default_and_a_value_that_is_accepted() -> None:
    told = {
        key: (json.loads(default), json.loads(value)) for key, default, value in DECISION.findall(text_of(PAGES[2]))
    }
    assert {key: default for key, (default, _) in told.items()} == {
        key: known.default for key, known in POLICIES.items()
    }
    for key, (_, value) in told.items():
        check_policy(key, value)
    assert [problems for _, problems in map(read_carrier_rule, told["catalogue_tightening"][1])] == [[]]


def test_input__is_never_opened_by_name() -> None:
    """Who is not root may not open again what root has piped in."""
    assert [page for page in PAGES if "/dev/stdin" in text_of(page)] == []
