"""Makes a unit's file (396.3): JSON, one PDF, scans and photos, hashes. Its sections are selectors."""
