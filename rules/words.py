"""Small words shared by messages: shares, volumes, numbers."""

from __future__ import annotations

from washlore.knowledge.rows import Solution

# What is smaller or larger is not told apart.
LEAST_SAID, MOST_SAID = 1e-4, 0.999


def share(value: float) -> str:
    """Return a fraction as per cent, with no more figures than it deserves."""
    percent = 100 * value
    if value < LEAST_SAID:
        return "under 0.01 %"
    if value >= MOST_SAID:
        return "over 99.9 %"
    if percent < 1:
        return f"{percent:.2f} %"
    if percent < 10 or percent > 99:
        return f"{percent:.1f} %"
    return f"{percent:.0f} %"


def between(low: float, high: float) -> str:
    """Return the band between two fractions in few words: ``up to 3 %``, ``over 96 %``, ``72 to 96 %``."""
    low_text, high_text = share(low), share(high)
    if low_text == high_text:
        return low_text
    if low < LEAST_SAID:
        return f"up to {high_text}"
    if high >= MOST_SAID:
        return f"over {low_text}"
    return f"{low_text.removesuffix(' %')} to {high_text}"


def spread(low: float, middle: float, high: float, lead: str = "") -> str:
    """Return the band around a middle in brackets, to stand behind it; nothing where it says what the middle says.

    ``lead`` stands before the band, such as ``"range: "``.
    """
    told = between(low, high)
    return "" if told == share(middle) else f" ({lead}{told})"


def round_volume(volume_ml: float) -> float:
    """Return a volume a person would measure out: steps of 1, 5, 10, 25, 50 or 100 mL, never less than 1 mL."""
    for limit, step in ((10, 1), (50, 5), (100, 10), (250, 25), (1000, 50)):
        if volume_ml <= limit:
            return max(1.0, step * round(volume_ml / step))
    return 100.0 * round(volume_ml / 100)


def listed(items: list[str] | tuple[str, ...]) -> str:
    """Return ``a, b and c``."""
    items = list(items)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}" if items else ""


def label(row: Solution) -> str:
    """Return a solution as written on its bottle: name, and strength where the name does not hold it."""
    if row.id == "brine":
        return "brine (saturated sodium chloride)"
    said = not row.strength or row.strength.split(" (")[0].split(" w/w")[0].split(",")[0] in row.name
    return row.name if said else f"{row.name} ({row.strength})"


def amount(mmol: float) -> str:
    """Return an amount in the unit a person would say it in."""
    if mmol >= 1000:
        return f"{mmol / 1000:.3g} mol"
    if mmol < 0.01:
        return f"{1000 * mmol:.3g} µmol"
    return f"{mmol:.3g} mmol" if mmol < 100 else f"{mmol:.0f} mmol"
