"""Documents: their kinds, periods, states and reminder steps, files' types. No Django, clock or database."""
