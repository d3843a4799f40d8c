"""Defects: every function that opens, moves or changes one. Their holds and certificates have rooms of their own."""
