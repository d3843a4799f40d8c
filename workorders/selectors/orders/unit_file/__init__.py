"""The sections of a unit's file about the shop: schedule, repairs, evidence."""
