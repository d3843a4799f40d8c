"""What a text must be before it is kept: normalised, without characters that break storage or display."""

import unicodedata

from common.errors import Invalid

_ALLOWED_CONTROLS = frozenset("\n\t")


def clean_text(value: str, *, max_length: int, pointer: str | None = None, multiline: bool = True) -> str:
    """The text in NFC with line ends as LF; raises Invalid naming the rule, at `pointer` when given.

    Codes: `text_nul`, `text_surrogate`, `text_control` (tab and line feed are fine where `multiline`), and
    `text_too_long` with facts `max_length` and `length`, both in characters.
    """
    fault = text_fault(value, multiline=multiline)
    if fault is not None:
        raise Invalid(fault, pointer=pointer)
    text = unicodedata.normalize("NFC", _unix_lines(value))
    if len(text) > max_length:
        raise Invalid("text_too_long", pointer=pointer, max_length=max_length, length=len(text))
    return text


def text_fault(value: str, *, multiline: bool = True) -> str | None:
    """The code of the first rule a text breaks, None for a text that may be kept; its length is not looked at."""
    allowed = _ALLOWED_CONTROLS if multiline else frozenset[str]()
    for character in _unix_lines(value):
        if character == "\0":
            return "text_nul"
        category = unicodedata.category(character)
        if category == "Cs":
            return "text_surrogate"
        if category == "Cc" and character not in allowed:
            return "text_control"
    return None


def _unix_lines(value: str) -> str:
    return value.replace("\r\n", "\n")
