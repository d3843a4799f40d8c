"""The floor: the least that a framework of this kind does for a parent with five rows."""
