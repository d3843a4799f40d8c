"""Finding the places of a serializer's nested errors, as JSON Pointers."""

from collections.abc import Iterator, Mapping

from rest_framework.exceptions import ErrorDetail
from rest_framework.settings import api_settings

from common.pointers import pointer


def flatten(detail: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str, ErrorDetail]]:
    """Each single error of a ValidationError's detail, with the pointer to the value it is about."""
    if isinstance(detail, ErrorDetail):
        yield pointer(path), detail
    elif isinstance(detail, Mapping):
        for key, item in detail.items():
            whole = key == api_settings.NON_FIELD_ERRORS_KEY
            yield from flatten(item, path if whole else (*path, key))
    elif isinstance(detail, list | tuple):
        for index, item in enumerate(detail):
            yield from flatten(item, path if isinstance(item, ErrorDetail) else (*path, index))
    else:
        msg = f"not an error detail: {type(detail).__name__}"
        raise TypeError(msg)
