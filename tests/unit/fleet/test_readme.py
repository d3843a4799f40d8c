"""The diagrams and tables that the README shows are those of the code."""

from pathlib import Path

import pytest

from common.transitions import TransitionTable
from fleet.transitions import TABLES

README = Path(__file__).resolve().parents[3] / "fleet" / "README.md"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_readme__shows_the_table_as_it_is(table: TransitionTable) -> None:
    text = README.read_text(encoding="utf-8")
    assert table.mermaid() in text
    assert table.markdown_table() in text
