"""A signed walk-around: what it says, and what each answer comes to against the catalogue. Stores nothing."""
