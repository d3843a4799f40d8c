"""Descriptions, numbers, combinations and meters of units, as pure rules."""
