"""Texts that a spreadsheet would run: put out of action when written, and given back when read. Holds no file form."""

import re

_SIGNS = "[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]"
"""The four signs, also in full width, which some spreadsheets read alike, and white space that is passed over."""
_RISKY = re.compile(f"'*{_SIGNS}")
_DISARMED = re.compile(f"'+{_SIGNS}")


def disarmed(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe stands before one that could be.

    Could be one: what begins with = + - @ (in full width too), a tab, a carriage return or a line feed, apostrophes
    before it not counted, so that `rearmed` gives back every text there is.
    """
    return "'" + text if _RISKY.match(text) else text


def rearmed(text: str) -> str:
    """Return the text that was disarmed; any other text as it is."""
    return text[1:] if _DISARMED.match(text) else text
