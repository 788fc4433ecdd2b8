"""Dataclasses that are quick to define.

The standard ones compile up to eight methods for each class, half a millisecond every time that a program starts; a
hundred classes of that kind are as long as RDKit takes to load. Here one method is compiled, ``__init__``, when many
objects have been made; the others are shared. ``fields``, ``asdict``, pickle and ``match`` work as they are used to, and the
module ``dataclasses`` is loaded when one of them asks; ``field`` and ``replace`` are also here.
"""

from __future__ import annotations

import inspect
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
    from dataclasses import field as field
    from dataclasses import replace as replace
else:

    def dataclass(cls: type | None = None, /, *, frozen: bool = False, eq: bool = True) -> Any:
        """Make a dataclass of ``cls``, as ``dataclasses.dataclass`` does with these options."""
        return _made(cls, frozen, eq) if cls is not None else lambda cls: _made(cls, frozen, eq)

    def field(**options: Any) -> Any:
        """Declare a field with ``default``, ``default_factory``, ``init`` or ``repr``, as ``dataclasses.field`` does."""
        return _Declared(**options)

    def replace(one: Any, /, **changes: Any) -> Any:
        """Return a copy with other values of some fields, as ``dataclasses.replace`` does."""
        for name, own in one._declared.items():
            if own.init and name not in changes:
                changes[name] = getattr(one, name)
        return one.__class__(**changes)


_UNSET = object()


class _Declared:
    """One field of a class, before the standard library's is asked for."""

    __slots__ = ("default", "factory", "init", "repr")

    def __init__(
        self, default: Any = _UNSET, default_factory: Any = None, init: bool = True, repr: bool = True
    ) -> None:
        self.default, self.factory, self.init, self.repr = default, default_factory, init, repr


_REQUIRED = _Declared()


class _StandardFields:
    """What ``dataclasses`` knows a dataclass by; made when it is looked at."""

    def __init__(self, cls: Any) -> None:
        self.cls = cls

    def __get__(self, instance: Any, cls: Any) -> dict[str, Any]:
        import dataclasses

        @dataclasses.dataclass(init=False, repr=False, eq=False)
        class Sample:
            any: Any

        kind = dataclasses.fields(Sample)[0]._field_type  # type: ignore[attr-defined]
        types: dict[str, Any] = {}
        for base in reversed(self.cls.__mro__):
            types.update(inspect.get_annotations(base))
        found = {}
        for name, own in self.cls._declared.items():
            given = dict[str, Any](init=own.init, repr=own.repr)
            if own.factory is not None:
                given["default_factory"] = own.factory
            elif own.default is not _UNSET:
                given["default"] = own.default
            made = dataclasses.field(**given)
            made.name, made.type, made._field_type = name, types[name], kind
            found[name] = made
        return found


def _made(cls: Any, frozen: bool, eq: bool) -> Any:
    declared = _fields(cls)
    cls._declared = declared
    cls.__dataclass_fields__ = _StandardFields(cls)
    cls.__match_args__ = _asked(declared)  # type: ignore[misc]
    cls.__init__ = _initialiser_at_first_use(cls, declared, frozen)
    cls.__repr__ = _shown
    if eq:
        cls._values = attrgetter(*declared) if declared else staticmethod(lambda self: ())
        cls.__eq__ = _equal
        cls.__hash__ = _hashed if frozen else None
    if frozen:
        cls.__setattr__, cls.__delattr__ = _refuse_setting, _refuse_deleting
    return cls


def _fields(cls: Any) -> dict[str, _Declared]:
    """Return the fields of a class: those of its bases, then its own in the order written; class variables are none."""
    found: dict[str, _Declared] = {}
    for base in cls.__mro__[-2:0:-1]:
        found.update(base.__dict__.get("_declared", {}))
    for name, annotation in inspect.get_annotations(cls).items():
        if str(annotation).startswith("ClassVar"):
            continue
        given = cls.__dict__.get(name, _UNSET)
        if given is _UNSET:
            given = _REQUIRED
        elif given.__class__ is not _Declared:
            given = _Declared(given)
        # A default stays a class attribute; a factory leaves none.
        elif given.default is _UNSET:
            delattr(cls, name)
        else:
            setattr(cls, name, given.default)
        found[name] = given
    return found


def _asked(declared: dict[str, _Declared]) -> tuple[str, ...]:
    return tuple([name for name, own in declared.items() if own.init])


def _shown(self: Any) -> str:
    parts = [f"{name}={getattr(self, name)!r}" for name, own in self._declared.items() if own.repr]
    return f"{self.__class__.__qualname__}({', '.join(parts)})"


def _equal(self: Any, other: Any) -> Any:
    return self._values(self) == self._values(other) if other.__class__ is self.__class__ else NotImplemented


def _hashed(self: Any) -> int:
    return hash(self._values(self))


# So many objects of a class are filled without ``__init__`` being compiled, which saves as much on as many again.
FEW = 200


def _initialiser_at_first_use(cls: Any, declared: dict[str, _Declared], frozen: bool) -> Any:
    names, made = _asked(declared), 0
    unasked = tuple([name for name in declared if name not in names])
    all_of_them, after = -1 if unasked else len(names), hasattr(cls, "__post_init__")

    def __init__(self: Any, *values: Any, **named: Any) -> None:  # noqa: N807
        nonlocal made
        made += 1
        if made <= FEW:
            filled = self.__dict__
            filled.update(zip(names, values))  # noqa: B905 (the rest is named or has a default)
            if len(values) == all_of_them and not named:
                if after:
                    self.__post_init__()
                return
            taken = 0
            for name in names[len(values) :] + unasked:
                if name in named and name not in unasked:
                    filled[name] = named[name]
                    taken += 1
                elif (own := declared[name]).factory is not None:
                    filled[name] = own.factory()
                elif own.default is not _UNSET:
                    filled[name] = own.default
                else:
                    break
            else:
                if taken == len(named) and len(values) <= len(names):
                    if after:
                        self.__post_init__()
                    return
            filled.clear()
        # Where an object cannot be filled, the compiled one says why.
        compiled = _initialiser(cls, declared, frozen)
        if cls.__dict__.get("__init__") is __init__:
            cls.__init__ = compiled
        compiled(self, *values, **named)

    return __init__


def _initialiser(cls: Any, declared: dict[str, _Declared], frozen: bool) -> Any:
    """Compile ``__init__``; a frozen object is filled past its own ``__setattr__``."""
    given: dict[str, Any] = {"_unset": _UNSET, "_set": object.__setattr__}
    taken, body = [], []
    for name, own in declared.items():
        value = name
        if own.factory is not None:
            given[f"_new_{name}"] = own.factory
            value = f"_new_{name}()"
            if own.init:
                taken.append(f"{name}=_unset")
                value += f" if {name} is _unset else {name}"
        elif own.default is not _UNSET:
            given[f"_or_{name}"] = own.default
            taken.append(f"{name}=_or_{name}")
        else:
            taken.append(name)
        body.append(f"_set(self, {name!r}, {value})" if frozen else f"self.{name} = {value}")
    if hasattr(cls, "__post_init__"):
        body.append("self.__post_init__()")
    exec(f"def __init__(self, {', '.join(taken)}):\n " + "\n ".join(body or ["pass"]), given)
    made = given["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def _refuse_setting(self: Any, name: str, value: Any) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_deleting(self: Any, name: str) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot delete field {name!r}")
