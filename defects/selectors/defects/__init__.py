"""Defects for lists and pages, and what people call them. Holds and certificates have rooms of their own."""
