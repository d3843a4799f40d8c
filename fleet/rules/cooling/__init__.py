"""Readings of cooling units and what is learned from them: fuel, pull-down, warm-up, air, time outside a range."""
