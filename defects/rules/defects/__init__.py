"""Defects: what a fault is judged to be, and what becomes of that when it is found again. No row and no check."""
