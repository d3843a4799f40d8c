"""Scale tickets over HTTP: as they are handed in and shown with their load, and their pictures."""
