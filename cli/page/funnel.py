"""A separating funnel drawn with its two layers, each of its true share of the funnel's volume."""

from __future__ import annotations

from functools import cache
from typing import Any

from washlore.knowledge.arrays import FloatArray, np
from washlore.knowledge.records import dataclass, replace

TOP, BOTTOM, MIDDLE = 26.0, 172.0, 62.0
WIDEST, ROUND, CONE = 33.0, 14.0, 26.0
SLICES = 400
# Three lines of words, and a little air.
WORDS = 58.0
# A funnel that is not named is drawn filled to this share.
FILLED = 0.7


@dataclass(frozen=True)
class Layer:
    """One layer as drawn: which it is, its outline, and where its words stand (``y``)."""

    kind: str
    place: str
    path: str
    y: float
    volume_ml: float
    density_g_ml: float
    kept: bool


@dataclass(frozen=True)
class Funnel:
    """The outline and the layers, the upper one first; ``size_ml`` is ``None`` where no funnel is named."""

    outline: str
    layers: tuple[Layer, Layer]
    surface: float
    size_ml: int | None


def _half_width(y: FloatArray) -> FloatArray:
    """Return the inner half width of a straight funnel at a height (px from the top of the drawing).

    Straight walls, so that the eye, which compares heights, reads volumes.
    """
    shoulder = np.sqrt(np.clip(1.0 - ((TOP + ROUND - y) / ROUND).clip(0.0) ** 2, 0.0, None))
    cone = ((BOTTOM - y) / CONE).clip(0.0, 1.0)
    return 4.0 + (WIDEST - 4.0) * np.minimum(shoulder, cone)


@cache
def _profile() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return heights, half widths and the share of the volume that lies below each height (a solid of revolution)."""
    y = np.linspace(TOP, BOTTOM, SLICES)
    half = _half_width(y)
    below = np.cumsum((half**2)[::-1])[::-1]
    return y, half, below / below[0]


def height_of(share: float) -> float:
    """Return the height (px from the top) up to which a share of the funnel's volume fills it."""
    y, _, below = _profile()
    return float(np.interp(share, below[::-1], y[::-1]))


def share_below(height: float) -> float:
    """Return the share of the funnel's volume below a height (px from the top)."""
    y, _, below = _profile()
    return float(np.interp(height, y, below))


def _outline(top: float, bottom: float) -> str:
    y, half, _ = _profile()
    inside = np.concatenate([[top], y[(y > top) & (y < bottom)], [bottom]])
    width = np.interp(inside, y, half)
    right = [f"{MIDDLE + w:.1f} {h:.1f}" for h, w in zip(inside, width, strict=True)]
    left = [f"{MIDDLE - w:.1f} {h:.1f}" for h, w in zip(inside, width, strict=True)]
    return f"M {' L '.join(right)} L {' L '.join(reversed(left))} Z"


def funnel(contact: dict[str, Any], size_ml: int | None) -> Funnel:
    """Return the drawing of a contact (of the record) in a funnel of ``size_ml``."""
    kinds = sorted(("organic", "aqueous"), key=lambda kind: contact[kind]["layer"] == "bottom")
    upper, lower = (contact[kind] for kind in kinds)
    whole = upper["volume_ml"] + lower["volume_ml"]
    size = size_ml or whole / FILLED
    surface, border = height_of(whole / size), height_of(lower["volume_ml"] / size)
    layers = [
        Layer(
            kind,
            row["layer"],
            _outline(top, bottom),
            (top + bottom) / 2,
            row["volume_ml"],
            row["density_g_ml"],
            row["fate"] != "waste",
        )
        for kind, row, top, bottom in zip(kinds, (upper, lower), (surface, border), (border, BOTTOM), strict=True)
    ]
    # Two thin layers would have their words on top of each other.
    first, second = layers
    below = min(max(second.y, first.y + WORDS), BOTTOM - 8)
    layers = [replace(first, y=min(first.y, below - WORDS)), replace(second, y=below)]
    return Funnel(_outline(TOP, BOTTOM), (layers[0], layers[1]), surface, size_ml)
