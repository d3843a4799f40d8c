"""The hash chain, recounts, retention and audit rehearsal, as pure rules."""
