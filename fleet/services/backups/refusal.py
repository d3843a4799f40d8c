"""Why a backup is not made or not restored, as a sentence for whoever stands at the console."""


class BackupRefusedError(Exception):
    """Nothing was changed; the message says why and what to do."""
