from typing import Any, Generic, TypeVar

from django.db.models import Model

_Row = TypeVar("_Row", bound=Model)

class DjangoModelFactory(Generic[_Row]):
    @classmethod
    def create(cls, **fields: Any) -> _Row: ...
