"""Tables taken in over HTTP: their columns and templates, and what an import says of each row."""
