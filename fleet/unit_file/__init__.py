"""What a unit's file (396.3) is made of: its sections, and how they are put into words. Making it is a service."""

from fleet.unit_file.sections import Asked, Column, Record, Section, add_section, sections
from fleet.unit_file.words import Words

__all__ = ["Asked", "Column", "Record", "Section", "Words", "add_section", "sections"]
