"""Tables of records imported: judged row by row as a desk's entries are, written in batches."""
