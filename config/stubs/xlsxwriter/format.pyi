from xlsxwriter import Format as Format
