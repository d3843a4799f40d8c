"""Holds: placing and lifting them. What a unit is barred by without a hold is in defects and refusals."""
