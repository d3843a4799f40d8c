"""What drivers found and what followed, as sections of a unit's file."""
