"""Which problems an operation may answer with: by its method and its view, and by the code that it reaches."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache
from http import HTTPStatus
from typing import Any

from django.db.models import Model
from django.http import StreamingHttpResponse

from common.api.database_errors import constraint_code, integrity_refusal, lost_database_refusal
from common.api.idempotency import IdempotentMixin
from common.api.permissions import ANONYMOUS, RolePermission, role_rule
from common.api.problem_pages import CODE_BY_STATUS
from common.api.problems import status_of
from common.api.reach import Step, raised_in, reached, stored_in
from common.api.views import expected_version

WITH_BODY = frozenset({"POST", "PUT", "PATCH"})
ALWAYS = (400, 406, 414, 500, 503)
ALIKE = frozenset({401, 406, 413, 414, 415, 500, 503})
"""Statuses that say the same wherever they are answered."""
LIMITS = {413: "The body is too large: JSON over 1 MiB, a photo or document over 15 MiB, a table over 10 MiB."}
"""What a client must know of a status beside its name; what a carrier set otherwise stands in the answer."""


def problems_of(view: Any, action: str, method: str, path: str) -> Mapping[int, list[str]]:
    """Return the codes of each status of 400 and above with which an operation may answer."""
    found: dict[int, set[str]] = defaultdict(set)
    for status in _statuses(view, action, method, path):
        found[status].update([CODE_BY_STATUS[status]] if status in CODE_BY_STATUS else [])
    steps = behind(view, action, method)
    for code, kind in raised_in(steps):
        found[status_of(kind)].add(code)
    if method != "GET":
        found[409].update(code for model in stored_in(steps) for code in _constraint_codes(model))
    if "{" not in path and found[404] <= {CODE_BY_STATUS[404]}:
        del found[404]
    return {status: sorted(codes) for status, codes in sorted(found.items())}


def behind(view: Any, action: str, method: str) -> frozenset[Step]:
    """Return all that may run for an operation."""
    unused = {
        expected_version: action not in getattr(view, "if_match", ()),
        IdempotentMixin._once: not stores_responses(view, method),  # noqa: SLF001 - of the same package
    }
    without = {function for function, never in unused.items() if never}
    return reached(type(view), [action, *_around(view, action, method)], without=without)


def status_description(status: int, codes: list[str]) -> str:
    """Return how the document tells a status with its codes."""
    said = LIMITS.get(status, HTTPStatus(status).phrase)
    return f"{said}: {', '.join(f'`{code}`' for code in codes)}." if codes and status not in LIMITS else said


def stores_responses(view: Any, method: str) -> bool:
    """Whether an operation wants an Idempotency-Key."""
    return method == "POST" and getattr(view, "idempotency", "none") != "none"


def is_tagged(view: Any, action: str, method: str) -> bool:
    """Whether an operation reads what has an ETag: all but a stream, which its handler says that it returns."""
    answer = getattr(getattr(view, action, None), "__annotations__", {}).get("return")
    return method == "GET" and not (isinstance(answer, type) and issubclass(answer, StreamingHttpResponse))


def _around(view: Any, action: str, method: str) -> Iterator[object]:
    """What runs before and after the handler."""
    yield from ("initial", lost_database_refusal)
    if role_rule(view, action) is not ANONYMOUS:
        yield from ("perform_authentication", RolePermission, *view.authentication_classes)
    if method != "GET":
        yield integrity_refusal
    if method in WITH_BODY:
        yield from view.parser_classes
    if action == "list":
        yield from (getattr(view, "pagination_class", None), *getattr(view, "filter_backends", ()))
        yield getattr(view, "filterset_class", None)


@cache
def _constraint_codes(model: type[Model]) -> frozenset[str]:
    """Which codes the constraints of a model's table stand for."""
    names = {each.name for each in model._meta.constraints}  # noqa: SLF001 - the documented way to a model's options
    names |= {f"{model._meta.db_table}_{field.column}_key" for field in model._meta.concrete_fields}  # noqa: SLF001
    return frozenset(code for name in names if (code := constraint_code(name)) is not None)


def _statuses(view: Any, action: str, method: str, path: str) -> Iterator[int]:
    yield from ALWAYS
    if role_rule(view, action) is not ANONYMOUS:
        yield from (401, 403)
    if "{" in path:
        yield 404
    if is_tagged(view, action, method):
        yield 412  # If-Match is heeded wherever it is sent (RFC 9110, 13.2.1)
    if method in WITH_BODY:
        yield from (409, 413, 415, 422)
    if action in getattr(view, "if_match", ()):
        yield from (412, 428)
