"""What the shop did, as sections of a unit's file."""
