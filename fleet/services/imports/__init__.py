"""Tables of records taken in: judged row by row as single entries at a desk are, and written in batches."""

from fleet.services.imports.rows import ColumnProblem, GivenRow
from fleet.services.imports.run import ImportReport, Table, import_rows

__all__ = ["ColumnProblem", "GivenRow", "ImportReport", "Table", "import_rows"]
