"""Whether a process of this machine lives."""

import os


def lives(process: int) -> bool:
    """Say whether a process has this id now, whoever's it is; a zombie has it as well."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
