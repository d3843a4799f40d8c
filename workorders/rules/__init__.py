"""Pure rules of the shop: what a task asks of a person, and how far an order is. Knows no database."""
