"""Checks histories against themselves, the rows and the history digests. Changes nothing."""
