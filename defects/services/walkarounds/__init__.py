"""Taking in signed walk-arounds: one transaction each, from the locks to the history."""

from defects.services.walkarounds.submit import submit_walkaround

__all__ = ["submit_walkaround"]
