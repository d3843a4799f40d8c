"""Why a backup is not made or not restored, as a sentence for whoever stands at the console."""

from django.db import connection


class BackupRefusedError(Exception):
    """Nothing was changed; the message says why and what to do."""


def not_owner(what: str) -> BackupRefusedError:
    """The refusal of a role that does not own what it would have to read or make as a whole."""
    role = connection.settings_dict["USER"]
    return BackupRefusedError(f"{role} does not own {what[:120]}; set DATABASE_URL to the role that migrates")
