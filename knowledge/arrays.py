"""Numbers with draws: plain Python floats where there is one draw, numpy where there are many.

numpy takes longer to load than RDKit, and longer than Python itself to work on an array of one number. What is asked with one
draw, the best estimate, never loads it: ``zeros``, ``full`` and the like make a ``Single`` then, which is used as an array of
shape (n,) or (n, 1) is, and the functions here take floats, ``Single`` and arrays alike.
"""

from __future__ import annotations

import importlib
import math
import operator
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    FloatArray = NDArray[np.float64]
    IndexArray = NDArray[np.intp]
    BoolArray = NDArray[np.bool_]
else:
    ArrayLike = FloatArray = IndexArray = BoolArray = Any

    class _Later:
        """Stands for a module; what has been asked for once is kept and costs nothing more."""

        def __init__(self, name: str) -> None:
            self.__dict__["_name"] = name

        def __getattr__(self, name: str) -> Any:
            value = getattr(importlib.import_module(self._name), name)
            self.__dict__[name] = value
            return value

    np = _Later("numpy")

__all__ = [
    "ArrayLike",
    "BoolArray",
    "FloatArray",
    "IndexArray",
    "Single",
    "at_best",
    "column",
    "every",
    "full",
    "log10",
    "maximum",
    "minimum",
    "np",
    "numbers",
    "plain",
    "power10",
    "row",
    "spread",
    "stacked",
    "where",
    "zeros",
]


def _divided(one: float, two: float) -> float:
    """Divide as numpy does: nothing by nothing is no number."""
    if two:
        return one / two
    return math.nan if not one or one != one else math.copysign(math.inf, one)


class Single:
    """An array with one draw on plain floats: shape (n,), or (n, 1) where it is ``deep``.

    It has what the ledger and those who read it ask of an array, and becomes one wherever numpy meets it.
    """

    __slots__ = ("deep", "values")

    def __init__(self, values: Sequence[Any], deep: bool = False) -> None:
        self.values = list(values)
        self.deep = deep

    # What an array says of itself.

    @property
    def shape(self) -> tuple[int, ...]:
        """Rows, and the one draw."""
        return (len(self.values), 1) if self.deep else (len(self.values),)

    @property
    def size(self) -> int:
        """How many numbers it holds."""
        return len(self.values)

    @property
    def ndim(self) -> int:
        """1, or 2 where it is deep."""
        return 2 if self.deep else 1

    def __len__(self) -> int:
        return len(self.values)

    def __repr__(self) -> str:
        return f"Single({self.values}{', deep=True' if self.deep else ''})"

    def __array__(self, dtype: Any = None, copy: Any = None) -> Any:
        return np.array(self.values, dtype=dtype).reshape(self.shape)

    def __iter__(self) -> Iterator[Any]:
        return iter([Single([v]) for v in self.values] if self.deep else self.values)

    def __float__(self) -> float:
        (value,) = self.values
        return float(value)

    def __bool__(self) -> bool:
        (value,) = self.values
        return bool(value)

    def tolist(self) -> list[Any]:
        """Return the numbers as lists, as an array does."""
        return [[v] for v in self.values] if self.deep else list(self.values)

    def copy(self) -> Single:
        """Return one with the same numbers."""
        return Single(self.values, self.deep)

    # Its parts.

    def __getitem__(self, key: Any) -> Any:
        if type(key) is int or hasattr(key, "__index__"):
            return Single([self.values[key]]) if self.deep else self.values[key]
        if type(key) is list and all(type(k) is int for k in key):
            return Single([self.values[k] for k in key], self.deep)
        if type(key) is slice:
            return Single(self.values[key], self.deep)
        if type(key) is tuple and len(key) == 2:
            rows, draw = key
            if self.deep and type(draw) is int and draw == 0 and not isinstance(rows, list):
                return Single(self.values[rows]) if type(rows) is slice else self.values[rows]
            if not self.deep and draw is None and rows == slice(None):
                return Single(self.values, True)
        return np.asarray(self)[key]

    def __setitem__(self, key: Any, value: Any) -> None:
        if type(key) is tuple and self.deep and key[1] == 0:
            key = key[0]
        if type(key) is int:
            self.values[key] = at_best(value)
        elif type(key) is list:
            for k, v in zip(key, plain(value) * (len(key) if isinstance(value, int | float) else 1), strict=True):
                self.values[k] = v
        else:
            raise TypeError(f"{key!r} names no part of an array with one draw that can be set")

    # What is computed with it.

    def _with(self, other: Any, operation: Callable[[Any, Any], Any], turned: bool = False) -> Any:
        if isinstance(other, Single):
            mine, others = self.values, other.values
            if len(mine) != len(others):
                if len(others) == 1:
                    others = others * len(mine)
                elif len(mine) == 1:
                    mine = mine * len(others)
                else:
                    raise ValueError(f"shapes {self.shape} and {other.shape} do not go together")
            elif self.deep is not other.deep and len(mine) != 1:
                raise ValueError(f"shapes {self.shape} and {other.shape} make more than one draw")
            return Single(map(operation, mine, others), self.deep or other.deep)  # type: ignore[arg-type]
        if isinstance(other, int | float):
            if turned:
                return Single([operation(other, v) for v in self.values], self.deep)
            return Single([operation(v, other) for v in self.values], self.deep)
        return NotImplemented

    def __add__(self, other: Any) -> Any:
        return self._with(other, operator.add)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self._with(other, operator.sub)

    def __rsub__(self, other: Any) -> Any:
        return self._with(other, operator.sub, True)

    def __mul__(self, other: Any) -> Any:
        return self._with(other, operator.mul)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Any:
        return self._with(other, _divided)

    def __rtruediv__(self, other: Any) -> Any:
        return self._with(other, _divided, True)

    def __neg__(self) -> Single:
        return Single([-v for v in self.values], self.deep)

    def __abs__(self) -> Single:
        return Single([abs(v) for v in self.values], self.deep)

    def __pow__(self, other: Any) -> Any:
        return self._with(other, operator.pow)

    def __rpow__(self, other: Any) -> Any:
        return self._with(other, operator.pow, True)

    def __gt__(self, other: Any) -> Any:
        return self._with(other, operator.gt)

    def __ge__(self, other: Any) -> Any:
        return self._with(other, operator.ge)

    def __lt__(self, other: Any) -> Any:
        return self._with(other, operator.lt)

    def __le__(self, other: Any) -> Any:
        return self._with(other, operator.le)

    def __eq__(self, other: Any) -> Any:
        return self._with(other, operator.eq)

    def __ne__(self, other: Any) -> Any:
        return self._with(other, operator.ne)

    __hash__ = None  # type: ignore[assignment]

    def sum(self, axis: int | None = None) -> Any:
        """Return the sum: of all numbers, or for the draw (``axis=0``)."""
        whole = sum(self.values) * 1.0
        return Single([whole]) if self.deep and axis == 0 else whole

    def all(self) -> bool:
        """Tell whether every number is true."""
        return all(self.values)

    def any(self) -> bool:
        """Tell whether some number is true."""
        return any(self.values)

    def max(self) -> Any:
        """Return the largest number."""
        return max(self.values)

    def min(self) -> Any:
        """Return the smallest number."""
        return min(self.values)


# Arrays made: plain where they hold one draw.


def row(values: Sequence[float], draws: int = 1) -> FloatArray:
    """Return numbers (n,) that have no draws, to go with others of that many draws."""
    return cast("FloatArray", Single(values)) if draws == 1 else np.array(values)


def column(values: Sequence[float]) -> FloatArray:
    """Return plain numbers as one draw, (n, 1)."""
    return cast("FloatArray", Single(values, True))


def full(draws: int, value: float) -> FloatArray:
    """Return the same number for each draw, (draws,)."""
    return cast("FloatArray", Single([float(value)])) if draws == 1 else np.full(draws, float(value))


def zeros(rows: int, draws: int) -> FloatArray:
    """Return nothing of each, (rows, draws)."""
    return cast("FloatArray", Single([0.0] * rows, True)) if draws == 1 else np.zeros((rows, draws))


def spread(values: FloatArray | Sequence[float], draws: int) -> FloatArray:
    """Return numbers (n,) that have no draws as the same for each of them, (n, draws)."""
    if draws == 1:
        return cast("FloatArray", Single(plain(values), True))
    return np.repeat(np.asarray(values, dtype=float)[:, None], draws, axis=1)


def numbers(values: Any) -> Any:
    """Return a number or ``Single`` as it is, and anything else as an array."""
    return values if isinstance(values, int | float | Single) else np.asarray(values, dtype=float)


def stacked(parts: Sequence[Any]) -> FloatArray:
    """Return numbers, or arrays of one shape, as the rows of an array."""
    if all(isinstance(part, int | float) for part in parts):
        return row(parts)
    if all(isinstance(part, Single) and len(part) == 1 for part in parts):
        return column([part.values[0] for part in parts])
    return np.stack(parts)


def plain(values: Any) -> list[float]:
    """Return a number, a ``Single`` or the only draw of an array as plain floats."""
    if isinstance(values, Single):
        return list(values.values)
    if isinstance(values, int | float):
        return [float(values)]
    if isinstance(values, list | tuple):
        return [float(v) for v in values]
    return [float(v) for v in values.ravel()]


def at_best(values: Any) -> float:
    """Return the first of some draws (draws,), the best estimate, or a number itself."""
    if isinstance(values, Single):
        return float(values.values[0])
    if isinstance(values, int | float):
        return float(values)
    return float(np.atleast_1d(values)[0])


# Functions of numbers, of one draw, and of many.


def _one(*values: Any) -> bool:
    return any(isinstance(v, Single) for v in values) and all(isinstance(v, Single | int | float) for v in values)


def _few(value: Any, like: Single) -> Any:
    return value if isinstance(value, Single) else Single([value] * len(like), like.deep)


def minimum(one: Any, two: Any) -> Any:
    """Return the smaller of two, number by number."""
    if isinstance(one, int | float) and isinstance(two, int | float):
        return one if one < two else two
    if _one(one, two):
        return one._with(two, min) if isinstance(one, Single) else two._with(one, min)
    return np.minimum(one, two)


def maximum(one: Any, two: Any) -> Any:
    """Return the larger of two, number by number."""
    if isinstance(one, int | float) and isinstance(two, int | float):
        return one if one > two else two
    if _one(one, two):
        return one._with(two, max) if isinstance(one, Single) else two._with(one, max)
    return np.maximum(one, two)


def where(condition: Any, one: Any, two: Any) -> Any:
    """Return the one where the condition holds, and the other elsewhere."""
    if isinstance(condition, bool):
        return one if condition else two
    if isinstance(condition, Single) and _one(condition, one, two):
        ones, twos = _few(one, condition).values, _few(two, condition).values
        return Single([a if c else b for c, a, b in zip(condition.values, ones, twos, strict=True)], condition.deep)
    return np.where(condition, one, two)


def power10(values: Any) -> Any:
    """Return ten to the power of each number."""
    if isinstance(values, int | float | Single):
        return 10.0**values
    return np.power(10.0, values)


def every(condition: Any) -> bool:
    """Tell whether a condition holds for every number."""
    return condition if isinstance(condition, bool) else bool(condition.all())


def log10(values: Any) -> Any:
    """Return the logarithm to base ten of each number."""
    if isinstance(values, Single):
        return Single([math.log10(v) for v in values.values], values.deep)
    return math.log10(values) if isinstance(values, int | float) else np.log10(values)
