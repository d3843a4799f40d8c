"""Texts that a spreadsheet would run: put out of action when written, and given back when read. Holds no file form."""

import re

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_DISARMED = re.compile(r"'+[=+\-@\t\r]")


def disarmed(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe stands before one that could be.

    Could be one: what begins with = + - @, a tab or a carriage return, apostrophes before it not counted, so that
    `rearmed` gives back every text there is.
    """
    return "'" + text if _RISKY.match(text) else text


def rearmed(text: str) -> str:
    """Return the text that was disarmed; any other text as it is."""
    return text[1:] if _DISARMED.match(text) else text
