"""What the shop did and has to do, as sections of a unit's file; importing a module adds its sections."""
