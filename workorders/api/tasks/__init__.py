"""Repair tasks over HTTP: their moves, and how they are shown. Labor on them is another room."""
