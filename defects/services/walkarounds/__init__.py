"""Taking in signed walk-arounds: one transaction each, from the locks to the history."""
