"""Every write about what the carrier owns is one function here."""
