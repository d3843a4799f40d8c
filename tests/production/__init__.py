"""A check outside the suite: whether what requirements/production.txt installs, and nothing else, does the work."""
