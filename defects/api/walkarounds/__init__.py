"""Handing in walk-arounds and their photos, and the receipt."""
