"""Dataclasses that are quick to define.

The standard ones compile up to eight methods for each class, half a millisecond every time that a program starts; a
hundred classes of that kind are as long as RDKit takes to load. Here one method is compiled, ``__init__``, when some
objects have been made; the others are shared. ``fields``, ``replace``, ``asdict``, pickle and ``match`` work as they are used to.
"""

from __future__ import annotations

import dataclasses
import inspect
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls: type | None = None, /, *, frozen: bool = False, eq: bool = True) -> Any:
        """Make a dataclass of ``cls``, as ``dataclasses.dataclass`` does with these options."""
        return _made(cls, frozen, eq) if cls is not None else lambda cls: _made(cls, frozen, eq)


_UNSET = object()


@dataclasses.dataclass(init=False, repr=False, eq=False)
class _Sample:
    """Any dataclass: its one field shows what ``dataclasses`` marks fields with."""

    any: Any


_FIELD = dataclasses.fields(_Sample)[0]._field_type  # type: ignore[attr-defined]
_PARAMS = _Sample.__dataclass_params__  # type: ignore[attr-defined]


def _made(cls: Any, frozen: bool, eq: bool) -> Any:
    own = _fields(cls)
    cls.__dataclass_fields__ = {f.name: f for f in own}
    cls.__dataclass_params__ = _PARAMS
    cls.__match_args__ = tuple(f.name for f in own)  # type: ignore[misc]
    cls.__init__ = _initialiser_at_first_use(cls, own, frozen)
    shown = tuple(f.name for f in own if f.repr)
    cls.__repr__ = lambda self: f"{cls.__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in shown)})"
    if eq:
        values = attrgetter(*(f.name for f in own)) if own else lambda self: ()
        cls.__eq__ = lambda self, other: (
            values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented
        )
        cls.__hash__ = (lambda self: hash(values(self))) if frozen else None
    if frozen:
        cls.__setattr__, cls.__delattr__ = _refuse_setting, _refuse_deleting
    return cls


def _fields(cls: Any) -> tuple[Any, ...]:
    """Return the fields of a class: those of its bases, then its own in the order written; class variables are none."""
    found: dict[str, Any] = {}
    for base in reversed(cls.__mro__[1:]):
        found.update(base.__dict__.get("__dataclass_fields__", {}))
    for name, declared in inspect.get_annotations(cls).items():
        if str(declared).startswith("ClassVar"):
            continue
        given = cls.__dict__.get(name, dataclasses.MISSING)
        if isinstance(given, dataclasses.Field):
            made = given
            # A default stays a class attribute; a factory leaves none.
            if made.default is dataclasses.MISSING:
                delattr(cls, name)
            else:
                setattr(cls, name, made.default)
        else:
            made = dataclasses.field(default=given)
        made.name, made.type, made._field_type = name, declared, _FIELD  # type: ignore[attr-defined]
        found[name] = made
    return tuple(found.values())


# So many objects of a class are filled without ``__init__`` being compiled, which takes as long as filling fifty.
FEW = 20


def _initialiser_at_first_use(cls: Any, own: Any, frozen: bool) -> Any:
    compiled: Any = None
    made = 0

    def __init__(self: Any, *values: Any, **named: Any) -> None:  # noqa: N807
        nonlocal compiled, made
        if compiled is None:
            made += 1
            if made <= FEW and _filled(self, own, values, named):
                return
            compiled = _initialiser(cls, own, frozen)
            if cls.__dict__.get("__init__") is __init__:
                cls.__init__ = compiled
        compiled(self, *values, **named)

    return __init__


def _filled(self: Any, own: Any, values: tuple[Any, ...], named: dict[str, Any]) -> bool:
    """Fill an object; tell whether that could be done: where it cannot, ``__init__`` says why."""
    if len(values) > len(own):
        return False
    filled = {f.name: value for f, value in zip(own, values)}  # noqa: B905 (the rest is named or has a default)
    taken = 0
    for f in own[len(values) :]:
        if f.name in named:
            filled[f.name] = named[f.name]
            taken += 1
        elif f.default_factory is not dataclasses.MISSING:
            filled[f.name] = f.default_factory()
        elif f.default is not dataclasses.MISSING:
            filled[f.name] = f.default
        else:
            return False
    if taken != len(named):
        return False
    self.__dict__.update(filled)
    if hasattr(self, "__post_init__"):
        self.__post_init__()
    return True


def _initialiser(cls: Any, own: Any, frozen: bool) -> Any:
    """Compile ``__init__``; a frozen object is filled past its own ``__setattr__``."""
    given: dict[str, Any] = {"_unset": _UNSET, "_set": object.__setattr__}
    taken, body = [], []
    for f in own:
        value = f.name
        if f.default_factory is not dataclasses.MISSING:
            given[f"_new_{f.name}"] = f.default_factory
            taken.append(f"{f.name}=_unset")
            value = f"_new_{f.name}() if {f.name} is _unset else {f.name}"
        elif f.default is not dataclasses.MISSING:
            given[f"_or_{f.name}"] = f.default
            taken.append(f"{f.name}=_or_{f.name}")
        else:
            taken.append(f.name)
        body.append(f"_set(self, {f.name!r}, {value})" if frozen else f"self.{f.name} = {value}")
    if hasattr(cls, "__post_init__"):
        body.append("self.__post_init__()")
    exec(f"def __init__(self, {', '.join(taken)}):\n " + "\n ".join(body or ["pass"]), given)
    made = given["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def _refuse_setting(self: Any, name: str, value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_deleting(self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
