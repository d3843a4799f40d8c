"""Pages of a list whose rows are no rows of one table: a function cuts each page, from one row's place to the next."""

from collections.abc import Callable, Sequence
from typing import Any, Protocol, TypeVar

from django.core import signing
from rest_framework.request import Request
from rest_framework.utils.urls import replace_query_param

from common.api.pagination import CursorPagination, page_limit
from common.errors import FieldProblem, Unreadable


class Placed(Protocol):
    """A row that knows its own place in the list, in values that JSON keeps as they are."""

    @property
    def place(self) -> tuple[Any, ...]:
        """Return the place."""


P = TypeVar("P", bound=Placed)

Cut = Callable[[int, tuple[Any, ...] | None, bool], Sequence[P]]
"""Takes how many rows at most, the place beyond which they lie (None: from the end) and whether to go backwards.

Rows come in the order of the list, whichever way they were read.
"""


class RowPagination(CursorPagination):
    """Answers as the base class does. `cut_rows` in the place of `paginate_queryset`; errors as there."""

    def cut_rows(self, cut: Cut[P], request: Request, salt: str) -> list[P]:
        """Return the rows of the page asked for. `salt` names the list, so that no other list's cursor fits."""
        self._url = request.build_absolute_uri()
        limit = page_limit(request.query_params.get("limit"))
        signer = signing.Signer(salt=f"cursor {salt}")
        place, backwards = _place(request.query_params.get("cursor"), signer)
        found = list(cut(limit + 1, place, backwards))
        more = len(found) > limit
        page = (found[-limit:] if backwards else found[:limit]) if more else found
        has_next = backwards or more
        has_previous = more if backwards else place is not None

        def link(edge: Sequence[P], *, back: bool) -> str | None:
            stored = [{"v": row.place, "b": back} for row in edge]
            return replace_query_param(self._url, "cursor", signer.sign_object(stored[0])) if stored else None

        self.next_url = link(page[-1:], back=False) if has_next else None
        self.previous_url = link(page[:1], back=True) if has_previous else None
        return page


def _place(text: str | None, signer: signing.Signer) -> tuple[tuple[Any, ...] | None, bool]:
    if text is None:
        return None, False
    try:
        stored = signer.unsign_object(text)
    except signing.BadSignature as error:
        raise Unreadable("bad_cursor", problems=[FieldProblem("", "bad_cursor", parameter="cursor")]) from error
    return tuple(stored["v"]), bool(stored["b"])
