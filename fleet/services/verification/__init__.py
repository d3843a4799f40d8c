"""Checking every unit's history against itself, its chain row and the digests kept outside. Changes nothing."""

from fleet.services.verification.verify import Verification, verify_history

__all__ = ["Verification", "verify_history"]
