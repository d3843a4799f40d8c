"""Everything on record as tables. Writes nothing."""
