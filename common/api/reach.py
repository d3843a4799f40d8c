"""What a handler reaches, read off the code: the problems it may answer with, the headers it sets. Holds no list."""

import dis
import inspect
from collections.abc import Collection, Iterable, Iterator
from functools import cache, cached_property, partial
from types import CodeType, FunctionType, ModuleType
from typing import Any, NamedTuple, get_args

from django.dispatch import Signal

from common.composition import Receiver, contributed, contributions
from common.errors import DomainError
from common.messages import registered_codes

Raised = tuple[str, type[DomainError]]
METHODS = (FunctionType, property, cached_property, staticmethod, classmethod)
ATTRIBUTE = frozenset({"LOAD_ATTR", "LOAD_METHOD"})
GLOBAL, CONSTANT, CALL = "LOAD_GLOBAL", "LOAD_CONST", "CALL"


class Step(NamedTuple):
    """A function that may run, and the class whose methods its `self` has."""

    function: Any
    owner: type | None


def reached(view: type, starts: Iterable[object], *, without: Collection[object] = ()) -> frozenset[Step]:
    """Return every function that may run from `starts` on, among them names of the view's methods.

    What would run through one of the functions `without` is left out.

    Followed are functions and classes by the names that are read, the classes of arguments, methods of `self`, and
    who receives a signal; not what is looked up by a key.
    """
    begun = (each for start in starts for each in (_members(view, start) if isinstance(start, str) else [start]))
    waiting = [step for start in begun for step in _steps(start, view)]
    seen = set(waiting)
    while waiting:
        new = {step for step in _read(waiting.pop()).onward - seen if step.function not in without}
        waiting += new
        seen |= new
    return frozenset(seen)


def raised_in(steps: Iterable[Step]) -> frozenset[Raised]:
    """Return the codes that functions raise, with their kinds; of one put together, all that it may become."""
    return frozenset(raised for step in steps for raised in _read(step).raised)


def mentioned_in(steps: Iterable[Step], text: str) -> bool:
    """Whether a text, such as the name of a header, stands in one of the functions."""
    return any(text in step.function.__code__.co_consts for step in steps)


class _Read(NamedTuple):
    raised: frozenset[Raised]
    onward: frozenset[Step]


@cache
def _read(step: Step) -> _Read:
    """What a function raises by itself, and what may run from there."""
    raised: set[Raised] = set()
    cells = [cell.cell_contents for cell in step.function.__closure__ or ()]
    onward = {each for value in (*_classes(step.function.__annotations__.values()), *cells) for each in _steps(value)}
    kind: type[DomainError] | None = None
    for value, owner in _values(step.function.__code__, step):
        if isinstance(value, type) and issubclass(value, DomainError):
            kind = value
        elif value is CALL:
            kind = None
        elif not isinstance(value, str):
            onward.update(_steps(value, owner))
        elif kind is not None:
            raised.update((code, kind) for code in _codes_of(value))
    return _Read(frozenset(raised), frozenset(onward))


def _codes_of(text: str) -> list[str]:
    """The codes that a text stands for: itself, or all those of which it is the beginning."""
    if text.endswith("_"):
        return [code for code in _registered() if code.startswith(text)]
    return [text] if text in _registered() else []


@cache
def _registered() -> frozenset[str]:
    return frozenset(registered_codes())


def _values(code: CodeType, step: Step) -> Iterator[tuple[object, type | None]]:
    """What the names and chains of names in a function stand for, with the class it was found in; texts; calls."""
    held: list[object] = []
    owner: type | None = None
    for each in dis.get_instructions(code):
        if each.opname in ATTRIBUTE and held and not isinstance(held[0], Signal):
            owner = held[0] if isinstance(held[0], type) else type(held[0])
            held = [getattr(held[0], each.argval, None)] if owner is ModuleType else _members(owner, each.argval)
            continue
        yield from ((value, owner) for value in held if value is not step.owner)
        held, owner = [], None
        if each.opname == GLOBAL and each.argval in step.function.__globals__:
            held = [step.function.__globals__[each.argval]]
        elif each.argval == "self" and step.owner is not None:
            held = [step.owner]
        elif each.opname == CONSTANT and isinstance(each.argval, CodeType):
            yield from _values(each.argval, step)
        elif each.opname == CONSTANT and isinstance(each.argval, str):
            yield each.argval, None
        elif each.opname.startswith(CALL):
            yield CALL, None


def _members(owner: type, name: str) -> list[object]:
    """What a class and those above it, which may be called by it, have under a name."""
    found = [vars(each)[name] for each in owner.__mro__ if name in vars(each)]
    return found if found and isinstance(found[0], METHODS) else found[:1]


def _steps(value: Any, owner: type | None = None) -> Iterator[Step]:
    """Every function that may run where a value is named."""
    match value:
        case FunctionType() if _is_ours(value):
            yield Step(inspect.unwrap(value), owner)
        case property():
            yield from _steps(value.fget, owner)
        case cached_property() | partial():
            yield from _steps(value.func, owner)
        case staticmethod() | classmethod():
            yield from _steps(value.__func__, owner)
        case Signal():
            for receiver in contributed(Receiver):
                if receiver.signal is value:
                    yield from _steps(receiver.react)
        case type() if _is_ours(value) and not issubclass(value, DomainError):
            yield from _of_class(value)  # type: ignore[arg-type]  # a class can be hashed
        case object() if not isinstance(value, type) and _is_ours(type(value)):
            yield from _of_class(type(value))  # type: ignore[arg-type]  # a class can be hashed


@cache
def _of_class(kind: type) -> tuple[Step, ...]:
    members = (member for each in kind.__mro__ if _is_ours(each) for member in vars(each).values())
    return tuple(step for member in members if isinstance(member, METHODS) for step in _steps(member, kind))


def _classes(kinds: Iterable[object]) -> Iterator[type]:
    for kind in kinds:
        if isinstance(kind, type):
            yield kind
        yield from _classes(get_args(kind))


def _is_ours(value: Any) -> bool:
    return str(value.__module__).partition(".")[0] in _apps()


@cache
def _apps() -> frozenset[str]:
    return frozenset({"common", *(contribution.app for contribution in contributions())})
