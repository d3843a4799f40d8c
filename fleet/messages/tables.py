"""Sentences about tables that are taken in or given out."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # The file
    "table_too_large": _("The file is larger than {max_bytes} bytes; split it."),
    "table_too_many_rows": _("The table has more than {max_rows} rows; split it."),
    "table_too_many_columns": _("The table has more than {max_columns} columns."),
    "table_too_many_blank_rows": _("More than {max_rows} rows are blank; delete them."),
    "table_too_much_text": _("The cells hold more than {max_characters} characters in all; split the table."),
    "table_too_complex": _("The workbook holds more than a table; copy the table alone into a new one."),
    "table_cells_misplaced": _("Row {row} or one of its cells is not in order; save the workbook anew."),
    "table_unpacks_too_large": _("The workbook unpacks to more than {max_bytes} bytes."),
    "table_empty": _("The file holds no table: its first row must name the columns."),
    "table_not_utf8": _("The file is not UTF-8; the first wrong byte is at position {position}. Save it as UTF-8."),
    "table_nul": _("Line {line} holds a NUL character; the file is damaged or no CSV."),
    "table_delimiter_unclear": _("The first line holds commas and semicolons; use one of them between columns."),
    "table_malformed": _("Row {row} is no CSV: a quotation mark stands alone or in the wrong place."),
    "table_not_xlsx": _("The file is damaged, or no workbook in XLSX form."),
    "table_old_workbook": _("The workbook has a password or an old form; save it as XLSX without one."),
    "table_sheet_missing": _("The workbook has several sheets, and none is called {sheet}."),
    "table_mislabelled": _("The file is announced as something else; its content is {found}."),
    # Its header
    "table_header_refused": _("The columns are not those of this table; nothing was read."),
    "table_header_computed": _("The first row holds a formula or an error; it must name the columns."),
    "column_unknown": _("There is no column {column} in this table. Known are: {known}."),
    "column_twice": _("The column {column} stands there twice."),
    "column_missing": _("The column {column} is missing."),
    # Rows and cells
    "import_refused": _("Rows are refused, and nothing was taken in: {refused}."),
    "row_ragged": _("The row has {found} cells and the header {expected}: look for a comma that should be quoted."),
    "row_twice": _("Row {first} is about the same record."),
    "cell_formula": _("The cell holds a formula; put its value there."),
    "cell_error": _("The cell holds an error of the spreadsheet."),
    "cell_is_number": _("The cell holds a number, which may have lost leading zeros; make it a text."),
    "cell_is_date": _("The spreadsheet made a date of this cell; make it a text and type it again."),
    "cell_not_a_day": _("A day is expected, such as 2026-03-02."),
    "not_an_address": _("A mail address is expected."),
    "cell_without_time": _("A day with its time is expected, such as 2026-03-02 06:10."),
    "cell_time_unclear": _("The clocks change about then; give the time with its offset from UTC."),
    "cell_too_long": _("At most {max_length} characters are kept."),
    "cell_not_among_choices": _("The value is none of these: {allowed}."),
    "date_is_number": _("A number is no day; type it as a day, such as 2026-03-02."),
    # What a row is about
    "column_not_of_kind": _("A unit of this kind has no such thing."),
    "import_kind_differs": _("The unit is on record as another kind: {known_kind}."),
    "axle_target_over_most": _("The pressure to be kept is higher than the highest one."),
    "axle_beside_refused": _("Another axle of this unit is refused, so none of them is taken in."),
    "document_earlier": _("The document on record, to {ends_on}, is a later one."),
    "reading_on_record": _("Another reading is on record for that instant: {shown}."),
    "person_ambiguous": _("More than one person is called so; use the name to sign in with."),
    # Giving out
    "export_unknown": _("There is no such table that you may have."),
}
