"""Everything on record as tables to be given out: each app lists its own, nothing is written here."""
