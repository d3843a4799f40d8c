"""One folder with the database, the files and the digests of one moment, and the way back from it."""

from fleet.services.backups.make import back_up
from fleet.services.backups.record import note_recovery
from fleet.services.backups.refusal import BackupRefusedError
from fleet.services.backups.restore import restore

__all__ = ["BackupRefusedError", "back_up", "note_recovery", "restore"]
