"""Tables as people and other programs exchange them: CSV after RFC 4180, and one sheet of an XLSX workbook."""
