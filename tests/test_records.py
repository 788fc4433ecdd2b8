"""Our dataclasses do what those of the standard library do, though their initialiser is compiled at its first use."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from typing import ClassVar

import pytest

from washlore.knowledge.records import dataclass, field, replace


@dataclass(frozen=True)
class Frozen:
    kind: ClassVar[str] = "any"
    name: str
    amount: float = 1.0
    parts: tuple[str, ...] = field(default_factory=tuple)
    hidden: int = field(default=0, repr=False)


@dataclass
class Open:
    values: list[int] = field(default_factory=list)
    doubled: int = 0
    own: list[int] = field(default_factory=list, init=False, repr=False)

    def __post_init__(self) -> None:
        self.doubled = 2 * len(self.values)


@dataclass(frozen=True)
class Inherits(Frozen):
    more: str = "x"


@dataclass(frozen=True, eq=False)
class ByIdentity:
    name: str


class Plain(Frozen):
    """No dataclass of its own."""


@dataclasses.dataclass(frozen=True)
class Standard:
    kind: ClassVar[str] = "any"
    name: str
    amount: float = 1.0
    parts: tuple[str, ...] = dataclasses.field(default_factory=tuple)
    hidden: int = dataclasses.field(default=0, repr=False)


def test_fields_are_those_of_the_standard_ones():
    for name in ("name", "default", "default_factory", "repr", "type"):
        assert [getattr(f, name) for f in dataclasses.fields(Frozen)] == [
            getattr(f, name) for f in dataclasses.fields(Standard)
        ]
    assert Frozen.__match_args__ == Standard.__match_args__
    assert Frozen.kind == "any" and Frozen.amount == 1.0 and not hasattr(Frozen, "parts")
    assert [f.name for f in dataclasses.fields(Inherits)] == ["name", "amount", "parts", "hidden", "more"]


def test_objects_are_made_compared_and_shown_alike():
    assert repr(Frozen("a", 2.0)) == repr(Standard("a", 2.0)).replace("Standard", "Frozen")
    assert Frozen("a") == Frozen("a", 1.0, (), 0) != Frozen("b")
    assert hash(Frozen("a")) == hash(Frozen("a")) and Frozen("a") != Standard("a")
    assert Open() == Open([]) and Open().values is not Open().values and Open([1, 2]).doubled == 4
    assert ByIdentity("a") != ByIdentity("a")
    assert Plain("a", parts=("b",)).parts == ("b",) and Inherits("a", more="y").more == "y"
    with pytest.raises(TypeError):
        hash(Open())


def test_what_is_wrongly_given_is_refused_at_the_first_object_and_after():
    @dataclass
    class New:
        one: int

    for _ in range(2):
        with pytest.raises(TypeError):
            New()  # type: ignore[call-arg]
        with pytest.raises(TypeError):
            New(1, two=2)  # type: ignore[call-arg]
    assert New(1).one == 1 and New(one=2).one == 2


def test_the_standard_tools_work_on_them():
    made = Frozen("a", parts=("b",))
    for changed in (dataclasses.replace, replace):
        assert changed(made, name="c") == Frozen("c", parts=("b",)) and made.name == "a"
    assert dataclasses.asdict(made) == {"name": "a", "amount": 1.0, "parts": ("b",), "hidden": 0}
    assert pickle.loads(pickle.dumps(made)) == made == copy.deepcopy(made)
    first = Open([1])
    first.own.append(3)
    for changed in (dataclasses.replace, replace):
        assert changed(first, values=[1, 2]).own == [] and changed(first, values=[1, 2]).doubled == 4
        with pytest.raises((TypeError, ValueError)):
            changed(first, own=[1])
    match made:
        case Frozen(name, amount):
            assert (name, amount) == ("a", 1.0)
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.name = "b"  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del made.name
