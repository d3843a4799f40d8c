"""The base of everything that reads a body: unknown fields are refused, texts come in through one field alone."""

from collections.abc import Mapping
from functools import cached_property
from itertools import islice
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail

from common import messages
from common.api.language import current_language
from common.errors import MOST_ERRORS
from common.messages import Message


class StrictSerializer(serializers.Serializer[Any]):
    """Refuses a field that is not listed, or is read only, with `unknown_field` at its pointer, in any depth.

    A plain `CharField` among its fields is refused when the class is made (TypeError): it would take numbers for
    texts and keep control characters; `common.api.fields.TextField` does not.
    """

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        declared: Mapping[str, serializers.Field[Any, Any, Any, Any]] = getattr(cls, "_declared_fields", {})
        loose = [name for name, field in declared.items() if _is_loose(field)]
        if loose:
            msg = f"{cls.__name__}: use TextField for {', '.join(loose)}"
            raise TypeError(msg)

    def to_internal_value(self, data: Any) -> Any:
        """Return the validated fields; ValidationError with all that is wrong, unknown fields among it."""
        unknown: dict[str, list[ErrorDetail]] = {}
        if isinstance(data, Mapping):
            unknown = {**self._unknown(data), **self._left_out(data)}
            data = self._cut(data)
        try:
            value = super().to_internal_value(data)
        except serializers.ValidationError as error:
            if not isinstance(error.detail, dict):
                raise
            found = {name: self._with_choices(name, detail) for name, detail in error.detail.items()}
            raise serializers.ValidationError({**found, **unknown}) from error
        if unknown:
            raise serializers.ValidationError(unknown)
        return value

    @cached_property
    def _known(self) -> frozenset[str]:
        return frozenset(field.field_name for field in self._writable_fields if field.field_name is not None)

    def _unknown(self, data: Mapping[str, object]) -> dict[str, list[ErrorDetail]]:
        unknown = list(islice((name for name in data if name not in self._known), MOST_ERRORS))
        if not unknown:
            return {}
        worded = [_worded(Message("unknown_field", {"known": sorted(self._known)}))]
        return dict.fromkeys(unknown, worded)

    def _cut(self, data: Mapping[str, object]) -> Mapping[str, object]:
        """Leave of a list that is too long as much as shows it: each item would be read, and worded, before that."""
        cut: dict[str, object] = {}
        for item in self._writable_fields:
            most = item.max_length if isinstance(item, serializers.ListField) else None
            sent = data.get(item.field_name or "")
            if most is not None and isinstance(sent, list) and len(sent) > most:
                cut[item.field_name or ""] = sent[: most + 1]
        return {**data, **cut} if cut else data

    def _left_out(self, data: Mapping[str, object]) -> dict[str, list[ErrorDetail]]:
        """What an object inside of a PATCH lacks: only the whole may leave out what stays, an object in it is whole."""
        if self.root is self or not getattr(self.root, "partial", False):
            return {}
        names = [item.field_name for item in self._writable_fields if item.required and item.field_name not in data]
        return {name: [_worded(Message("required"))] for name in names if name is not None}

    def _with_choices(self, name: str, detail: Any) -> Any:
        """Return a field's errors; one that tells of a wrong choice names the right ones."""
        field = self.fields.get(name)
        if isinstance(field, serializers.ListField):
            field = field.child
        if not isinstance(field, serializers.ChoiceField):
            return detail
        return _replaced(
            detail, _worded(Message("invalid_choice", {"allowed": [str(value) for value in field.choices]}))
        )


def _worded(message: Message) -> ErrorDetail:
    return ErrorDetail(messages.render(message, current_language()), message.code)


def _replaced(detail: Any, by: ErrorDetail) -> Any:
    if isinstance(detail, dict):
        return {key: _replaced(item, by) for key, item in detail.items()}
    if isinstance(detail, list):
        return [_replaced(item, by) for item in detail]
    return by if detail.code == by.code else detail


def _is_loose(field: object) -> bool:
    if isinstance(field, serializers.ListField | serializers.DictField):
        return _is_loose(field.child)
    return type(field) is serializers.CharField and not field.read_only
