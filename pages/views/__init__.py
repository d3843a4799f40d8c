"""Each page: what it reads by the API, and what it sends there. Decides nothing."""
