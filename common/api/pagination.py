"""Pages of a list by key (keyset paging): no page shifts when rows come or go, and none costs more than the first.

A row whose value of the ordering (a name, a number) changes between two pages may be missed or come twice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.core import signing
from django.core.exceptions import FieldDoesNotExist, ImproperlyConfigured, ValidationError
from django.db.models import Field, Model, Q, QuerySet
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import remove_query_param, replace_query_param
from rest_framework.views import APIView

from common.canonical import plain
from common.errors import FieldProblem, Unreadable

DEFAULT_LIMIT = 50
MAX_LIMIT = 200


@dataclass(frozen=True)
class Cursor:
    """A place between two rows: the values of the ordering there, and which way to read from it."""

    values: tuple[object, ...]
    backwards: bool


class CursorPagination(BasePagination):
    """Answers `{"results": […], "next": url|null, "previous": url|null}` and the same in a Link header (RFC 8288).

    Rows that cannot be shown stand beside the others under `unreadable`, a member that is there for them alone.

    The view's `ordering` (`("-reported_at",)`; a leading minus descends; across relations with `__`) is completed with
    the primary key; its columns may not be null. `?limit=` takes 1 to 200. Unreadable `invalid_parameter`,
    `bad_cursor`.
    """

    def paginate_queryset(
        self, queryset: QuerySet[Any] | Sequence[Any], request: Request, view: APIView | None = None
    ) -> list[Any]:
        """Return the rows of the page asked for."""
        if not isinstance(queryset, QuerySet):
            msg = "pages are cut by the database, from a query set"
            raise TypeError(msg)
        self._url = request.build_absolute_uri()
        ordering = _completed(getattr(view, "ordering", ()))
        fields = [_field(queryset.model, name.lstrip("-")) for name in ordering]
        limit = page_limit(request.query_params.get("limit"))
        self._signer = signing.Signer(salt=f"cursor {queryset.model._meta.label} {' '.join(ordering)}")  # noqa: SLF001 - Django's documented model API
        cursor = self._read(request.query_params.get("cursor"), fields)
        backwards = cursor is not None and cursor.backwards
        order = [_reversed(name) for name in ordering] if backwards else ordering
        rows = queryset.order_by(*order)
        if cursor is not None:
            rows = rows.filter(_beyond(order, cursor.values))
        found = list(rows[: limit + 1])
        more, page = len(found) > limit, found[:limit]
        if backwards:
            page.reverse()
        has_next = backwards or more
        has_previous = more if backwards else cursor is not None
        self.next_url = self._link(page[-1:], ordering, backwards=False) if has_next else None
        self.previous_url = self._link(page[:1], ordering, backwards=True) if has_previous else None
        return page

    def get_paginated_response(self, data: Any) -> Response:
        """Return the page with its links."""
        first = remove_query_param(self._url, "cursor")
        links = {"first": first, "next": self.next_url, "previous": self.previous_url}
        relations = {"first": "first", "next": "next", "previous": "prev"}
        header = ", ".join(f'<{url}>; rel="{relations[name]}"' for name, url in links.items() if url)
        body = {"results": data, "next": self.next_url, "previous": self.previous_url}
        return Response(body, headers={"Link": header})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Return the page in OpenAPI's words."""
        url = {"type": ["string", "null"], "format": "uri"}
        text = {"type": "string"}
        row = {"type": "object", "required": ["id", "says"], "properties": {"id": text, "says": text}}
        unreadable = {"type": "array", "items": row, "description": "Rows of this page that cannot be shown, by key."}
        return {
            "type": "object",
            "required": ["results", "next", "previous"],
            "properties": {"results": schema, "unreadable": unreadable, "next": url, "previous": url},
        }

    def get_schema_operation_parameters(self, view: APIView) -> list[dict[str, Any]]:
        """Return the query parameters in OpenAPI's words."""
        limit = {"type": "integer", "minimum": 1, "maximum": MAX_LIMIT, "default": DEFAULT_LIMIT}
        return [
            _parameter("cursor", "Where to go on, taken from `next` or `previous` as it is.", {"type": "string"}),
            _parameter("limit", "How many at most.", limit),
        ]

    def _read(self, text: str | None, fields: "Sequence[Field[Any, Any]]") -> Cursor | None:
        if text is None:
            return None
        try:
            stored = self._signer.unsign_object(text)
            values = tuple(field.to_python(value) for field, value in zip(fields, stored["v"], strict=True))
        except (signing.BadSignature, ValidationError) as error:
            raise Unreadable("bad_cursor", problems=[FieldProblem("", "bad_cursor", parameter="cursor")]) from error
        return Cursor(values, stored["b"])

    def _link(self, edge: Sequence[Model], ordering: Sequence[str], *, backwards: bool) -> str | None:
        if not edge:
            return None
        values = [plain(_value(edge[0], name.lstrip("-"))) for name in ordering]
        text = self._signer.sign_object({"v": values, "b": backwards})
        return replace_query_param(self._url, "cursor", text)


def _completed(ordering: Sequence[str]) -> list[str]:
    """Return the ordering with the primary key at its end, which makes every row's place its own."""
    names = [name.lstrip("-") for name in ordering]
    return list(ordering) if "pk" in names else [*ordering, "pk"]


def _field(model: type[Model], path: str) -> "Field[Any, Any]":
    options = model._meta  # noqa: SLF001 - Django's documented model API
    *relations, name = path.split("__")
    for relation in relations:
        related = options.get_field(relation).related_model
        if related is None or isinstance(related, str):
            msg = f"{path} crosses {relation}, which is no relation"
            raise ImproperlyConfigured(msg)
        options = related._meta  # noqa: SLF001 - Django's documented model API
    try:
        field = options.pk if name == "pk" else options.get_field(name)
    except FieldDoesNotExist as error:
        msg = f"{path} is not a column"
        raise ImproperlyConfigured(msg) from error
    if not isinstance(field, Field) or field.null:
        msg = f"{path} cannot order pages: it may be null or is no column"
        raise ImproperlyConfigured(msg)
    return field


def _value(row: object, path: str) -> Decimal | UUID | date | str | int:
    value: Any = row
    for name in path.split("__"):
        value = getattr(value, name)
    result: Decimal | UUID | date | str | int = value
    return result


def _reversed(name: str) -> str:
    return name[1:] if name.startswith("-") else f"-{name}"


def _beyond(ordering: Sequence[str], values: Sequence[object]) -> Q:
    """Rows after the place: equal in the first columns and beyond in the next one."""
    condition = Q()
    equal = Q()
    for name, value in zip(ordering, values, strict=True):
        path, descending = name.lstrip("-"), name.startswith("-")
        condition |= equal & Q(**{f"{path}__{'lt' if descending else 'gt'}": value})
        equal &= Q(**{path: value})
    first, descending = ordering[0].lstrip("-"), ordering[0].startswith("-")
    # says nothing new, but lets the index on the first column end the search
    return Q(**{f"{first}__{'lte' if descending else 'gte'}": values[0]}) & condition


def page_limit(text: str | None) -> int:
    """Return how many rows a page has at most; Unreadable `invalid_parameter`."""
    if text is None:
        return DEFAULT_LIMIT
    if not (text.isascii() and text.isdigit() and len(text) <= 3 and 1 <= int(text) <= MAX_LIMIT):  # noqa: PLR2004 - a limit has three digits at most
        problem = FieldProblem("", "page_limit", {"max_limit": MAX_LIMIT}, parameter="limit")
        raise Unreadable("invalid_parameter", problems=[problem])
    return int(text)


def _parameter(name: str, description: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": schema}
