"""What a handler reaches, read off the code: the problems it may answer with, the headers it sets. Holds no list."""

import dis
import inspect
from collections.abc import Callable, Collection, Iterable, Iterator
from functools import cache, cached_property, partial
from types import CodeType, FunctionType, ModuleType
from typing import Any, NamedTuple, get_args, get_origin

from django.db.models import Model
from django.dispatch import Signal

from common.composition import Receiver, contributed, contributions
from common.errors import DomainError
from common.messages import registered_codes

Raised = tuple[str, type[DomainError]]
INSIDE = {property: "fget", cached_property: "func", partial: "func", staticmethod: "__func__", classmethod: "__func__"}
"""In which attribute a kind of method keeps its function."""
METHODS = (FunctionType, *INSIDE)
ATTRIBUTE = frozenset({"LOAD_ATTR", "LOAD_METHOD"})
GLOBAL, CONSTANT = "LOAD_GLOBAL", "LOAD_CONST"
ENDINGS = ("RAISE", "RETURN", "STORE", "POP_TOP")
STORING = frozenset({"create", "bulk_create", "bulk_update"})
SAVING = frozenset({"save", "edit_row"})
"""By which a function stores the row that it returns."""
END = object()
"""Stands where a statement ends."""


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


def stored_in(steps: Iterable[Step]) -> frozenset[type[Model]]:
    """The models whose rows a function adds or changes through their manager, or stores and returns."""
    return frozenset(model for step in steps for model in _stored(step))


@cache
def _stored(step: Step) -> frozenset[type[Model]]:
    code = step.function.__code__
    names = list(_names(code))
    by_manager = [
        step.function.__globals__.get(name)
        for name, manager, act in zip(names, names[1:], names[2:], strict=False)
        if manager == "objects" and act in STORING
    ]
    saved = [step.function.__annotations__.get("return")] if SAVING & {*code.co_names} else []
    return frozenset(each for each in (*by_manager, *saved) if isinstance(each, type) and issubclass(each, Model))


def _names(code: CodeType) -> Iterator[str]:
    """The names that are read, in order."""
    for each in dis.get_instructions(code):
        if isinstance(each.argval, CodeType):
            yield from _names(each.argval)
        elif each.opname == GLOBAL or each.opname in ATTRIBUTE:
            yield each.argval


class _Read(NamedTuple):
    raised: frozenset[Raised]
    onward: frozenset[Step]


@cache
def _read(step: Step) -> _Read:
    """What a function raises by itself, and what may run from there."""
    cells = [cell.cell_contents for cell in step.function.__closure__ or ()]
    onward = {each for value in (*_classes(step.function.__annotations__.values()), *cells) for each in _steps(value)}
    raised: set[Raised] = set()
    kinds: frozenset[type[DomainError]] = frozenset()
    finders: frozenset[type[DomainError]] = frozenset()
    for value, owner in _values(step.function.__code__, step):
        if isinstance(value, type) and issubclass(value, DomainError):
            kinds = frozenset({value})
        elif value is END:
            kinds = finders = frozenset()
        elif isinstance(value, str):
            raised.update((code, kind) for kind in kinds for code in _codes_of(value))
        else:
            found = list(_steps(value, owner))
            onward.update(found)
            raised.update((code, kind) for kind in finders for each in found for code in _codes_in(each))
            if isinstance(value, FunctionType):
                taken = {kind for each in found for kind in _takes_code(each)}
                kinds |= taken
                finders |= taken if _takes_function(value) else set()
    given = (*(step.function.__defaults__ or ()), *(step.function.__kwdefaults__ or {}).values())
    texts = {text for text in given if isinstance(text, str)}
    texts |= {text for each in onward if each.owner is None for text in _texts(each.function.__code__)}
    raised |= {(code, kind) for kind in _takes_code(step) for text in texts for code in _codes_of(text)}
    return _Read(frozenset(raised), frozenset(onward))


@cache
def _takes_code(step: Step) -> frozenset[type[DomainError]]:
    """The kinds that a function raises with a code which it is given, or which another function told it."""
    taken: set[type[DomainError]] = set()
    kind: type[DomainError] | None = None
    for value, _ in _values(step.function.__code__, step):
        if isinstance(value, type) and issubclass(value, DomainError):
            kind = value
        elif isinstance(value, str) and _codes_of(value):
            kind = None
        elif value is END and kind is not None:
            taken.add(kind)
            kind = None
    return frozenset(taken)


def _takes_function(function: FunctionType) -> bool:
    """Whether a function is given another, whose refusals it may raise as its own kind."""
    origins: set[object] = {get_origin(kind) for kind in function.__annotations__.values()}
    return Callable in origins


def _codes_in(step: Step) -> Iterator[str]:
    return (code for text in _texts(step.function.__code__) for code in _codes_of(text))


def _texts(code: CodeType) -> Iterator[str]:
    for const in code.co_consts:
        if isinstance(const, CodeType):
            yield from _texts(const)
        elif isinstance(const, str):
            yield const


def _codes_of(text: str) -> list[str]:
    """The codes that a text stands for: itself, or all those of which it is the beginning."""
    if text.endswith("_"):
        return [code for code in _registered() if code.startswith(text)]
    return [text] if text in _registered() else []


@cache
def _registered() -> frozenset[str]:
    return frozenset(registered_codes())


def _values(code: CodeType, step: Step) -> Iterator[tuple[object, type | None]]:
    """What names and chains of names stand for, with the class it was found in; texts; ends of statements."""
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
        elif each.opname.startswith(ENDINGS):
            yield END, None


def _members(owner: type, name: str) -> list[object]:
    """What a class and those above it, which may be called by it, have under a name."""
    found = [vars(each)[name] for each in owner.__mro__ if name in vars(each)]
    return found if found and isinstance(found[0], METHODS) else found[:1]


def _steps(value: Any, owner: type | None = None) -> Iterator[Step]:
    """Every function that may run where a value is named."""
    if type(value) in INSIDE:
        value = getattr(value, INSIDE[type(value)])
    match value:
        case FunctionType() if _is_ours(value):
            yield from (Step(value, owner), Step(inspect.unwrap(value), owner))
        case Signal():
            for receiver in contributed(Receiver):
                if receiver.signal is value:
                    yield from _steps(receiver.react)
        case type() if _is_ours(value) and not issubclass(value, DomainError):
            yield from _of_class(value)  # type: ignore[arg-type]  # a class can be hashed
        case dict():
            for each in value.values():
                yield from _steps(each)
        case object() if not isinstance(value, type) and _is_ours(type(value)):
            yield from _of_class(type(value))  # type: ignore[arg-type]  # a class can be hashed
            held = getattr(value, "__dict__", {}).values()
            yield from (step for each in held if isinstance(each, FunctionType) for step in _steps(each))


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
