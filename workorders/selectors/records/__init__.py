"""What the unit's file, exports and audits take from the shop. Not the lists of orders."""
