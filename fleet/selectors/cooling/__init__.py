"""Series of cooling readings."""
