"""How models stand in the OpenAPI document: each under the name of its class, which no other model may bear.

In the place of drf-spectacular's own extension, with which two models of one name share a schema, and bodies are
described as if they were answers.
"""

from typing import Any

from django.core.exceptions import ImproperlyConfigured
from drf_spectacular.extensions import OpenApiSerializerExtension
from drf_spectacular.plumbing import ComponentRegistry, ResolvedComponent
from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body

REF = "#/components/schemas/{model}"


class _Generator(GenerateJsonSchema):
    """Leaves out titles, which only repeat names, and defaults that only say that nothing was sent."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False

    def default_schema(self, schema: Any) -> dict[str, Any]:
        described = super().default_schema(schema)
        if described.get("default") in (ABSENT, "", []):
            described.pop("default", None)
        return described


class ModelExtension(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]  # the library's own
    """Says that models describe bodies and answers; `register` does the describing."""

    target_class = "pydantic.BaseModel"
    match_subclasses = True
    priority = 1


def register(model: type[BaseModel], registry: ComponentRegistry) -> ResolvedComponent:
    """Return a model's component, made with those of the models and closed sets in it; no component for no fields.

    ImproperlyConfigured as in `described`, and for two schemas of one name.
    """
    schema, inner = described(model)
    for name, each in {**inner, model.__name__: schema}.items():
        component = ResolvedComponent(name, ResolvedComponent.SCHEMA, each, name)  # type: ignore[no-untyped-call]  # the library's own
        if component in registry and registry[component].schema != each:
            msg = f"two schemas are called {name}"
            raise ImproperlyConfigured(msg)
        if name != model.__name__ or schema.get("properties"):
            registry.register_on_missing(component)
    empty = not schema.get("properties")
    return ResolvedComponent(None, None) if empty else component  # type: ignore[no-untyped-call]  # the library's own


def described(model: type[BaseModel]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a model's schema and those of the models and closed sets in it by name.

    ImproperlyConfigured for a model that is neither body nor answer, and where two of one name are in it.
    """
    if not issubclass(model, Body | Answer):
        msg = f"{model.__name__} is neither a Body nor an Answer"
        raise ImproperlyConfigured(msg)
    mode: JsonSchemaMode = "validation" if issubclass(model, Body) else "serialization"
    schema = model.model_json_schema(ref_template=REF, schema_generator=_Generator, mode=mode)
    inner = schema.pop("$defs", {})
    twice = [name for name in inner if "__" in name]
    if twice:
        msg = f"{model.__name__} holds models of one name: {', '.join(twice)}"
        raise ImproperlyConfigured(msg)
    return _plain(schema), {name: _plain(each) for name, each in inner.items()}


def _plain(schema: dict[str, Any]) -> dict[str, Any]:
    schema.pop("title", None)
    return schema
