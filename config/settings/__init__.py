"""Settings: `base` for every way of running, `test` for the suite."""
