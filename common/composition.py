"""What the apps contribute to the facilities of the apps below them, as `config` assembles it. Knows no app."""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

from django.conf import settings
from django.dispatch import Signal
from django.utils.module_loading import import_string

Part = TypeVar("Part")
Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


@dataclass(frozen=True, eq=False)
class Contribution:
    """All that one app contributes; the type of each part says what it is for."""

    app: str
    parts: tuple[object, ...]


@dataclass(frozen=True)
class Receiver:
    """What an app does, inside the sender's transaction, when another announces something."""

    signal: Signal
    react: Callable[..., object]


def assemble() -> None:
    """Connect what reacts to what; called once every app's models are there."""
    for receiver in contributed(Receiver):
        receiver.signal.connect(receiver.react)


def contributions() -> tuple[Contribution, ...]:
    """Those of every app, lower apps first."""
    return _assembled(settings.COMPOSITION)


def contributed(kind: type[Part]) -> tuple[Part, ...]:
    """Every part of this type, in the order of the apps; the same tuple each time."""
    return _parts(kind, contributions())  # type: ignore[arg-type]  # a class can be hashed


def indexed(pairs: Iterable[tuple[Key, Value]]) -> dict[Key, Value]:
    """The pairs as a dict; ValueError for a key that is there twice."""
    index: dict[Key, Value] = {}
    for key, value in pairs:
        if key in index:
            msg = f"{key!r} is contributed twice"
            raise ValueError(msg)
        index[key] = value
    return index


@cache
def _assembled(name: str) -> tuple[Contribution, ...]:
    # By name, as Django finds the addresses by ROOT_URLCONF: it needs the models of every app.
    assembled: tuple[Contribution, ...] = import_string(name)
    return assembled


@cache
def _parts(kind: type[Part], assembled: tuple[Contribution, ...]) -> tuple[Part, ...]:
    return tuple(part for contribution in assembled for part in contribution.parts if isinstance(part, kind))
