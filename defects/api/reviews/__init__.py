"""The next driver's review over HTTP (396.13)."""
