"""What is said of tables that are taken in."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # The file
    "table_too_large": _("The file is larger than {max_bytes} bytes; split it."),
    "table_too_many_rows": _("The table has more than {max_rows} rows; split it."),
    "table_too_many_columns": _("The table has more than {max_columns} columns."),
    "table_too_many_blank_rows": _("More than {max_rows} rows are blank. Delete them."),
    "table_too_much_text": _("The table exceeds {max_characters} characters. Split it."),
    "table_too_complex": _("The workbook has more than a table. Copy only the table into a new one."),
    "table_cells_misplaced": _("Row {row} is damaged. Save the workbook again."),
    "table_unpacks_too_large": _("The workbook unpacks to more than {max_bytes} bytes."),
    "table_empty": _("The file holds no table: its first row must name the columns."),
    "table_not_utf8": _("The file is not UTF-8; the first wrong byte is at position {position}. Save it as UTF-8."),
    "table_nul": _("Line {line} contains a NUL character. The file is damaged or not CSV."),
    "table_delimiter_unclear": _("The first line has commas and semicolons. Use only one separator."),
    "table_malformed": _("Row {row} is not valid CSV: a quotation mark is missing or misplaced."),
    "table_not_xlsx": _("The file is damaged or not an XLSX workbook."),
    "table_old_workbook": _("Save the workbook as XLSX without a password."),
    "table_sheet_missing": _("The workbook has several sheets. Name one of them {sheet}."),
    "table_mislabelled": _("The file is not of the declared type. It is {found}."),
    # Its header
    "table_header_refused": _("The columns do not match this table. Nothing was read."),
    "table_header_computed": _("The first row must name the columns, without formulas or errors."),
    "column_unknown": _("There is no column {column} in this table. Known are: {known}."),
    "column_twice": _("The column {column} appears twice."),
    "column_missing": _("The column {column} is missing."),
    # Rows and cells
    "import_refused": _("Rows were refused and nothing was imported: {refused}."),
    "row_ragged": _("The row has {found} cells, the header {expected}. Quote any comma within a cell."),
    "row_twice": _("Row {first} is about the same record."),
    "cell_formula": _("The cell contains a formula. Put its value there."),
    "cell_error": _("The cell contains a spreadsheet error."),
    "cell_is_number": _("The cell contains a number. Format it as text to keep leading zeros."),
    "cell_is_date": _("The spreadsheet turned this cell into a date. Format it as text and retype it."),
    "cell_not_a_day": _("A date is expected, such as 2026-03-02."),
    "not_an_address": _("A mail address is expected."),
    "cell_without_time": _("A date and time are expected, such as 2026-03-02 06:10."),
    "cell_time_unclear": _("Clocks change around that time. Give the UTC offset."),
    "cell_too_long": _("The limit is {max_length} characters."),
    "cell_not_among_choices": _("Use one of: {allowed}."),
    "date_is_number": _("A number is not a date. Type a date such as 2026-03-02."),
    # What a row is about
    "column_not_of_kind": _("This column does not apply to this kind of unit."),
    "import_kind_differs": _("The unit is on record as another kind: {known_kind}."),
    "axle_target_over_most": _("The target pressure exceeds the maximum."),
    "axle_beside_refused": _("Another axle of this unit is refused, so none is imported."),
    "document_earlier": _("The document on record, to {ends_on}, is a later one."),
    "cooling_reading_on_record": _("Another reading of that time is on record."),
    "reading_on_record": _("Another reading exists for that time: {shown}."),
    "person_ambiguous": _("More than one person has this name. Use the username."),
}
