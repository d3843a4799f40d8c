"""Checking units' histories against themselves, the records they tell of and the digests outside. Changes nothing."""

from fleet.services.verification.verify import Verification, verify_history

__all__ = ["Verification", "verify_history"]
