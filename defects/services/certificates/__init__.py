"""Certificates: who may sign one, what proves it, and what it ends. Lifting the hold is another act."""
