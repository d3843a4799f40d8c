"""Which language an answer is worded in: the person's own once known, before that what the request accepts."""

from django.conf import settings
from django.utils import translation


def activate_for(person: object) -> None:
    """Word everything from here on in the person's `language`, if there is one that this service speaks."""
    language = getattr(person, "language", None)
    if language in dict(settings.LANGUAGES):
        translation.activate(language)


def current_language() -> str:
    """Return the language in force: that of the person or of the request, else the service's own."""
    return translation.get_language() or settings.LANGUAGE_CODE
