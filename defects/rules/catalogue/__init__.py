"""The points of the walk: what they are, which hold where, and the carrier's stricter rules. Judges no answer."""
