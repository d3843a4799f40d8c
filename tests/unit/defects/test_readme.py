"""The diagrams and tables that the README shows are those of the code."""

from pathlib import Path

import pytest

from common.transitions import TransitionTable
from defects.transitions import DISPATCH_TABLES, TABLES

README = Path(__file__).resolve().parents[3] / "defects" / "README.md"


@pytest.mark.parametrize("table", [*TABLES, *DISPATCH_TABLES], ids=lambda table: table.name)
def test_readme__shows_the_table_as_it_is(table: TransitionTable) -> None:
    text = README.read_text(encoding="utf-8")
    assert f"```mermaid\n{table.mermaid()}```\n" in text
    assert table.markdown_table() in text
