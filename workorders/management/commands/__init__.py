"""Commands of the whole service."""
