"""Officers' inspections: recorded with the orders and defects that follow, and answered once all is repaired."""
