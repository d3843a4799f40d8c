"""The sections of a unit's file and how they are worded. Making the archive is a service."""
