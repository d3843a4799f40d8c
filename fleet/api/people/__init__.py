"""People over HTTP: who works here, as what, and how they sign in."""
