"""numpy, imported when something asks it for a number: it takes longer to load than RDKit, and much needs none."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

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

__all__ = ["ArrayLike", "BoolArray", "FloatArray", "IndexArray", "np"]
