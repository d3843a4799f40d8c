"""A body as a handler works with it: what its serializer let through, or what was signed in the field."""

from typing import TypeVar

from rest_framework.request import Request

from common.api.serializers import StrictSerializer

B = TypeVar("B", bound=StrictSerializer)


class NothingBody(StrictSerializer):
    """A move that needs no more than saying so: a body may be left out, and has no fields."""


def parsed(body: type[B], request: Request, *, partial: bool = False) -> B:
    """Return the validated body; a problem document with a pointer to each refused value otherwise."""
    read = body(data=request.data, partial=partial)
    read.is_valid(raise_exception=True)
    return read
