"""Backups, file stores, job runs and the database roles. Nothing of the trade."""
