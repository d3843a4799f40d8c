"""The rooms of the house: on every floor, and in the tests, only the nouns that DEVELOPERS.md lists for the app."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from config.env import CHECKOUT

FLOORS = ("rules", "models", "selectors", "services", "messages", "api")
TESTS = ("unit", "integration", "api")
BESIDE_ROOMS = {"models": {"base"}, "api": {"urls"}}
"""What is of a whole floor: the columns that tables share, and the addresses."""
OF_THE_APP = {"apps", "contribution", "enums", "jobs", "signals", "transitions", "upgrades"}


def rooms() -> dict[str, set[str]]:
    """The nouns of each app by the table in DEVELOPERS.md; what stands in parentheses explains."""
    table = re.findall(r"^\| (\w+) \| (`\w+`[^|]*) \|$", (CHECKOUT / "DEVELOPERS.md").read_text(), re.MULTILINE)
    return {app: set(re.findall(r"`(\w+)`", re.sub(r"\([^)]*\)", "", cell))) for app, cell in table}


def modules(folder: Path) -> set[str]:
    """The packages and modules right below a folder."""
    found = (path for path in folder.glob("*") if path.suffix == ".py" or any(path.rglob("*.py")))
    return {path.stem for path in found} - {"__init__", "conftest"}


def misplaced(top: Path) -> Iterator[str]:
    for app, nouns in rooms().items():
        yield from (f"{app}/{name}" for name in modules(top / app) - OF_THE_APP - {*FLOORS, "management", "migrations"})
        for floor in FLOORS:
            known = nouns | BESIDE_ROOMS.get(floor, set())
            yield from (f"{app}/{floor}/{name}" for name in modules(top / app / floor) - known)
        for kind in TESTS:
            yield from (f"tests/{kind}/{app}/{name}" for name in modules(top / "tests" / kind / app) - nouns)


def test_every_file__lies_in_the_room_of_its_noun() -> None:
    assert rooms().keys() == {"fleet", "defects", "workorders"}
    assert sorted(misplaced(CHECKOUT)) == []


def test_file_beside_the_rooms__is_found(tmp_path: Path) -> None:
    for name in ("fleet/keeping.py", "defects/services/holds/placing.py", "defects/rules/words.py"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    for name in ("tests/unit/fleet/test_units.py", "tests/api/fleet/conftest.py"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    assert set(misplaced(tmp_path)) == {"fleet/keeping", "defects/rules/words", "tests/unit/fleet/test_units"}


def test_each_room__says_what_it_holds_and_is_no_second_door() -> None:
    packages = [path for app in rooms() for floor in FLOORS for path in (CHECKOUT / app / floor).rglob("__init__.py")]
    rooms_alone = [path for path in packages if path.parent.name not in FLOORS]
    said = {path: ast.parse(path.read_text()).body for path in rooms_alone}
    assert len(said) > 40
    assert [str(path) for path, body in said.items() if len(body) > 1] == []
    assert [str(path) for path, body in said.items() if not body or not isinstance(body[0], ast.Expr)] == []
