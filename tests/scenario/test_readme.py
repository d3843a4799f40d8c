"""The walk through the main job that README.md shows, pasted into a shell as it stands, against a real server."""

import json
import re
import subprocess
from dataclasses import dataclass
from typing import Any

import pytest

from config.env import CHECKOUT
from fixtures.scenario.days import DAYS
from fixtures.scenario.stage import Stage
from tests.support.needs import need_program

BLOCK = re.compile(r"^```(sh|json)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
ADDRESS = "http://127.0.0.1:8000/api/v1"
BETWEEN = "--- the next answer ---"
STRICT = f"""set -euo pipefail
curl() {{ command curl --fail-with-body "$@"; }}
answered() {{ printf '\\n%s\\n' '{BETWEEN}'; }}
"""


@dataclass(frozen=True)
class Shown:
    """One request, and the answer shown under it; None where README shows none."""

    request: str
    answer: Any


def walk_through() -> tuple[str, list[Shown]]:
    """What is pasted first, and every request after it, in the order of the page."""
    first, *blocks = BLOCK.findall((CHECKOUT / "README.md").read_text())
    shown: list[Shown] = []
    for kind, text in blocks:
        if kind == "sh":
            shown += [Shown(request, None) for request in re.split(r"^(?=curl )", text, flags=re.MULTILINE) if request]
        else:
            shown[-1] = Shown(shown[-1].request, json.loads(text))
    return first[1], shown


def agrees(shown: Any, given: Any) -> bool:
    """Whether all that is shown is in the answer, which may tell more; a text that ends in … is only its beginning."""
    if isinstance(shown, dict):
        return isinstance(given, dict) and all(name in given and agrees(shown[name], given[name]) for name in shown)
    if isinstance(shown, list):
        return isinstance(given, list) and all(any(agrees(item, other) for other in given) for item in shown)
    if isinstance(shown, str) and shown.endswith("…"):
        return isinstance(given, str) and given.startswith(shown[:-1])
    return bool(shown == given)


def test_pasted_as_it_stands__every_request_answered_as_shown(stage: Stage) -> None:
    need_program("curl")
    setting, requests = walk_through()
    assert setting.count(ADDRESS) == 1
    script = STRICT + setting.replace(ADDRESS, f"{stage.address}/api/v1")
    script += "".join(f"{shown.request}answered\n" for shown in requests)

    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stdout + done.stderr
    *answers, nothing = done.stdout.split(BETWEEN)
    assert nothing.strip() == ""
    assert len(answers) == len(requests) == 5
    for shown, text in zip(requests, answers, strict=True):
        given = json.loads(text)
        assert agrees(shown.answer or {}, given), (shown.answer, given)
    assert [shown.answer is not None for shown in requests] == [False, True, True, False, False]
    DAYS[5].play(stage)  # the page goes on with it


@pytest.mark.parametrize(
    ("shown", "given"),
    [
        ({"a": 1}, {"b": 1}),
        ({"a": 1}, {"a": 2}),
        ([{"a": 1}], [{"a": 2}]),
        ([{"a": 1}], {"a": 1}),
        ("beg…", "begun"[1:]),
        ({"a": [1, 2]}, {"a": [1]}),
    ],
)
def test_other_than_shown__is_noticed(shown: object, given: object) -> None:
    assert not agrees(shown, given)


def test_more_than_shown__agrees() -> None:
    assert agrees({"a": [{"b": "beg…"}]}, {"a": [{"c": 2}, {"b": "begun", "d": 1}], "e": 3})
