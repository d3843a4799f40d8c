"""How an operation is described in OpenAPI 3.1: its problems, its headers, its roles. Holds no address of an app."""

import inspect
from http import HTTPStatus
from typing import Any, get_args, get_origin

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from drf_spectacular.utils import OpenApiParameter
from pydantic import BaseModel

from common.api.idempotency import MAX_KEY
from common.api.model_schema import register
from common.api.operation_problems import ALIKE, is_tagged, problems_of, status_description, stores_responses
from common.api.permissions import ANONYMOUS, ANY_ROLE, RoleRule, role_rule
from common.api.problem_document import CONTENT_TYPE
from common.api.problem_schema import CODE, PROBLEM_SCHEMA
from common.api.response_headers import described_headers, problem_headers, success_headers

IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "minLength": 1, "maxLength": MAX_KEY},
    OpenApiParameter.HEADER,
    required=True,
    description="A name of your own for this request: sent again with the same body, it gives the first answer again.",
)
IF_MATCH = OpenApiParameter(
    "If-Match",
    {"type": "string", "pattern": '^"[0-9]+(-[0-9a-f]{16})?"$'},
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of what you saw, or its version alone in quotes: only the version is compared.",
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match",
    {"type": "string"},
    OpenApiParameter.HEADER,
    description="The ETag of what you have: answered with 304 and no body while all that is shown is the same.",
)


VERBS = {"GET": "read", "POST": "create", "PUT": "put", "PATCH": "change", "DELETE": "delete"}
"""What an operationId calls what is done at an address that does not say it itself."""


class ProblemAutoSchema(AutoSchema):
    """Adds to each operation what the base of the views does before and after its handler.

    A view may name its tag in `tag`. A handler's first line is the summary.
    """

    def get_operation_id(self) -> str:
        """Return the words of the address and what is done there (`meter_readings_list`); a move says it itself."""
        words = [word.replace("-", "_").replace(".", "_").strip("_") for word in self._tokenize_path()]
        if words[-1] != self._action():
            words.append("list" if self._lists() else VERBS[self.method])
        return "_".join(words)

    def _lists(self) -> bool:
        return self._action() == "list" or get_origin(self.get_response_serializers()) is list

    def get_summary(self) -> str | None:
        """Return the first line of the handler, of a list that of its view."""
        return self._said().partition("\n")[0].rstrip(".")

    def get_request_serializer(self) -> Any:
        """Return the body that the handler takes."""
        handler = self._handler()
        own = getattr(handler, "takes", None) or getattr(self.view, "bodies", {}).get(self._action())
        return own or super().get_request_serializer()

    def _get_request_body(self, direction: Any = "request") -> dict[str, Any] | None:
        body: dict[str, Any] | None = super()._get_request_body(direction)  # type: ignore[no-untyped-call]  # the library's own
        return body and {**body, "required": True}

    def get_response_serializers(self) -> Any:
        """Return what the handler gives, else what its view answers with."""
        return self._answer() or super().get_response_serializers()

    def resolve_serializer(self, serializer: Any, direction: Any, bypass_extensions: bool = False) -> ResolvedComponent:
        """Return the component; that of a model is made here."""
        if isinstance(serializer, type) and issubclass(serializer, BaseModel):
            return register(serializer, self.registry)
        return super().resolve_serializer(serializer, direction, bypass_extensions)

    def _get_serializer_name(self, serializer: Any, direction: Any, bypass_extensions: bool = False) -> str:
        if isinstance(serializer, type) and issubclass(serializer, BaseModel):
            return serializer.__name__
        return str(super()._get_serializer_name(serializer, direction, bypass_extensions))

    def _answer(self) -> type[BaseModel] | None:
        found: type[BaseModel] | None = getattr(self._handler(), "gives", None) or getattr(self.view, "shows", None)
        return found

    def _handler(self) -> Any:
        return getattr(self.view, self._action(), None)

    def _said(self) -> str:
        """The words of the handler; of a shared one those of the view."""
        handler, view = self._handler(), type(self.view)
        own = handler is not None and not getattr(handler, "shared", False)
        if own:
            return inspect.getdoc(handler) or ""
        of_view = inspect.getdoc(view) or ""
        [tag] = self.get_tags()
        return of_view if self._action() == "list" else f"One of the {tag.replace('-', ' ')}."

    def get_override_parameters(self) -> list[Any]:
        """Return the headers that the operation needs."""
        given = [*super().get_override_parameters()]
        if stores_responses(self.view, self.method):
            given.append(IDEMPOTENCY_KEY)
        if self._action() in getattr(self.view, "if_match", ()):
            given.append(IF_MATCH)
        if is_tagged(self.view, self._action(), self.method):
            given.append(IF_NONE_MATCH)
        return given

    def get_tags(self) -> list[str]:
        """Return the view's tag, else the first part of the address after the API's prefix."""
        tag = getattr(self.view, "tag", None)
        return [tag] if isinstance(tag, str) else super().get_tags()

    def get_description(self) -> str:  # type: ignore[override]  # as in the class above
        """Return the handler's words and who may call it."""
        said = self._said().partition("\n")[2].strip()
        return f"{said}\n\nRoles: {_roles_in_words(self._rule())}.".strip()

    def get_auth(self) -> list[dict[str, Any]]:
        """Return how to sign in; nothing for an operation that is open to everybody."""
        return [] if self._rule() is ANONYMOUS else super().get_auth()

    def _get_response_for_code(
        self, serializer: Any, status_code: Any, media_types: Any = None, direction: Any = "response"
    ) -> dict[str, Any]:
        if get_origin(serializer) is list:
            [item] = get_args(serializer)
            serializer = {"type": "array", "items": register(item, self.registry).ref}
        answer: dict[str, Any] = super()._get_response_for_code(serializer, status_code, media_types, direction)  # type: ignore[no-untyped-call]  # the library's own
        return answer

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        answers = super()._get_response_bodies(direction)
        for status, answer in answers.items():
            answer["description"] = answer["description"] or HTTPStatus(int(status)).phrase
            answer["headers"] = described_headers(success_headers(self.view, self._action(), self.method, int(status)))
        if is_tagged(self.view, self._action(), self.method):
            answers["304"] = {"description": "Not Modified", "headers": described_headers(["ETag", "X-Request-Id"])}
        found = problems_of(self.view, self._action(), self.method, self.path)
        answers.update({str(status): self._problem(status, codes) for status, codes in found.items()})
        return answers

    def _problem(self, status: int, codes: list[str]) -> dict[str, Any]:
        problem = self._component("Problem", ResolvedComponent.SCHEMA, PROBLEM_SCHEMA)
        known = self._component(CODE, ResolvedComponent.SCHEMA, {"type": "string", "enum": []})
        known.schema["enum"] += [code for code in codes if code not in known.schema["enum"]]
        answer = {
            "description": status_description(status, codes if status in ALIKE else []),
            "headers": described_headers(problem_headers(status)),
            "content": {CONTENT_TYPE: {"schema": problem.ref}},
        }
        component = self._component(f"Problem{status}", ResolvedComponent.RESPONSE, answer)
        return component.ref if status in ALIKE else {**component.ref, "description": status_description(status, codes)}

    def _component(self, name: str, kind: str, schema: dict[str, Any]) -> ResolvedComponent:
        """The component of this name, made of this schema where there is none yet."""
        component = ResolvedComponent(name, kind, schema, name)  # type: ignore[no-untyped-call]  # the library's own
        self.registry.register_on_missing(component)
        return self.registry[component]

    def _action(self) -> str:
        action = getattr(self.view, "action", None)
        return action if isinstance(action, str) else self.method.lower()

    def _rule(self) -> RoleRule | None:
        return role_rule(self.view, self._action())


def _roles_in_words(rule: RoleRule | None) -> str:
    if rule is ANONYMOUS:
        return "open to everybody"
    if rule is ANY_ROLE:
        return "everyone with a role"
    return ", ".join(sorted(rule or ())) or "nobody"
