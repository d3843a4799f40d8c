"""The form and life of tokens. Not roles: those are transition tables."""
