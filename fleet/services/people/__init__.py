"""Writes about people: roles, qualifications, sign-in, tokens, signatures. Not their documents."""
