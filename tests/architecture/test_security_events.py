"""Every security event that is told anywhere stands in the operators' table, and nothing else does."""

import ast
import re
from collections.abc import Iterator

from config.env import CHECKOUT

APPS = ("common", "config", "fleet", "defects", "workorders", "pages")
ROW = re.compile(r"^\| ((?:`\w+`(?:, )?)+) \|", re.MULTILINE)


def told() -> Iterator[str]:
    texts = (path.read_text() for app in APPS for path in (CHECKOUT / app).rglob("*.py"))
    for text in (text for text in texts if "log_event(" in text):
        for node in ast.walk(ast.parse(text)):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in {"log_event", "_log_ended"}
            ):
                for word in ast.walk(node.args[0]):
                    if isinstance(word, ast.Constant) and isinstance(word.value, str):
                        yield word.value


def test_table__names_each_event_and_no_other() -> None:
    page = (CHECKOUT / "docs/operation.md").read_text()
    section = page.partition("\n## Security events\n")[2].partition("\n## ")[0]
    named = [event for row in ROW.finditer(section) for event in re.findall(r"\w+", row[1])]
    events = set(told())
    assert {"sign_in_known_device", "role_given", "signing_link_refused"} <= events
    assert sorted(named) == sorted(events)
