"""Every write about what drivers find is one function here."""
