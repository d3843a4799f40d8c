"""What is written of cooling units: their readings, and what is learned from them."""
