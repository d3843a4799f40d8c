"""The diagrams and tables in the app's own description are those of its transition tables."""

from pathlib import Path

import pytest

from common.transitions import TransitionTable
from workorders.transitions import TABLES

README = Path(__file__).resolve().parents[3] / "workorders" / "README.md"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_description__shows_the_table_as_it_is(table: TransitionTable) -> None:
    text = README.read_text(encoding="utf-8")
    assert table.mermaid() in text
    assert table.markdown_table() in text
