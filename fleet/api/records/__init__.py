"""Records over HTTP: a unit's history and file, what freezes it, what was deleted, exports and audits rehearsed."""
