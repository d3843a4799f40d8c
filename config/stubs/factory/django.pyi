from typing import Any, Generic, TypeVar

from django.db.models import Model

_Row = TypeVar("_Row", bound=Model)

class DjangoModelFactory(Generic[_Row]):
    @classmethod
    def _create(cls, model_class: type[_Row], *args: Any, **kwargs: Any) -> _Row: ...
    @classmethod
    def create(cls, **fields: Any) -> _Row: ...
    @classmethod
    def create_batch(cls, size: int, **fields: Any) -> list[_Row]: ...
