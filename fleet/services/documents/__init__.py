"""Writes about documents, their files, feeds and reminders. Not the notifications themselves."""
