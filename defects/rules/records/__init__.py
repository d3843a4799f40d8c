"""Gaps that an auditor finds, recounts, and how long entries are kept. Not the judging of faults."""
