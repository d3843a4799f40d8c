"""Reads of what is kept: history sentences, recounts, audit rehearsals, exports, the unit file's sections."""
