"""What a text must be before it is kept: normalised, without characters that break storage or display."""

import unicodedata

UNREADABLE = "\N{REPLACEMENT CHARACTER}"

_ALLOWED_CONTROLS = frozenset("\n\t")


def normal_text(value: str) -> str:
    """Return the one spelling that is kept of a text: NFC, lines ended by LF."""
    return unicodedata.normalize("NFC", _unix_lines(value))


def storage_fault(value: str) -> str | None:
    """`text_nul` or `text_surrogate` for a text that PostgreSQL or UTF-8 cannot hold at all, else None."""
    if "\0" in value:
        return "text_nul"
    if not value.isascii() and any("\ud800" <= character <= "\udfff" for character in value):
        return "text_surrogate"
    return None


def control_fault(value: str, *, multiline: bool = True) -> str | None:
    """`text_control` for a text with a control character other than tab and line end in `multiline`, else None."""
    if value.isprintable():  # true of no control character, and much faster than looking at each
        return None
    allowed = _ALLOWED_CONTROLS if multiline else frozenset[str]()
    found = (unicodedata.category(character) == "Cc" and character not in allowed for character in _unix_lines(value))
    return "text_control" if any(found) else None


def readable_text(value: str, *, multiline: bool = True) -> str:
    """Return the text as it can be kept and shown: what cannot stands there as U+FFFD, a line end as a space."""
    lines = _unix_lines(value) if multiline else " ".join(value.splitlines())
    shown = "".join(
        UNREADABLE
        if unicodedata.category(character) in {"Cc", "Cs"} and character not in _ALLOWED_CONTROLS
        else character
        for character in lines
    )
    return normal_text(shown if multiline else shown.replace("\t", " "))


def _unix_lines(value: str) -> str:
    return value.replace("\r\n", "\n")
