"""Amounts: volumes, how often, strengths, pH and ratios."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import dataclass, field

from .characters import Token


@dataclass
class Amount:
    """What is said of a solution besides its name."""

    volume: float | None = None
    relative: float | None = None
    repeats: int | None = None
    percent: float | None = None
    molar: float | None = None
    normal: float | None = None
    letter: float | None = None  # how many times a volume that a letter stands for: x mL, 3n mL
    state: str = ""  # sat, half, dil, conc
    ph: float | None = None
    ratio: tuple[float, float] | None = None
    notes: list[str] = field(default_factory=list)
    words: list[tuple[int, int]] = field(default_factory=list)  # places of the strength
    each: bool = False
    solid: bool = False
    aqueous: bool = False
    start: int = -1
    end: int = -1

    def empty(self) -> bool:
        """Tell whether nothing was read."""
        return self.start < 0

    def sized(self) -> bool:
        """Tell whether a volume or a number of portions was read."""
        return self.volume is not None or self.relative is not None or self.repeats is not None

    def strong(self) -> bool:
        """Tell whether a strength was read."""
        return self.percent is not None or self.molar is not None or self.normal is not None or bool(self.state)

    def take(self, other: Amount) -> None:
        """Fill what is not said yet from ``other``."""
        for name in ("volume", "relative", "repeats", "percent", "molar", "normal", "ph", "ratio", "letter"):
            if getattr(self, name) is None:
                setattr(self, name, getattr(other, name))
        self.state = self.state or other.state
        self.notes += [n for n in other.notes if n not in self.notes]
        self.words += other.words
        self.each |= other.each
        self.solid |= other.solid
        self.aqueous |= other.aqueous
        if other.start >= 0:
            self.start = other.start if self.start < 0 else min(self.start, other.start)
            self.end = max(self.end, other.end)


def _per_mass(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether a volume is one for each gram or kilogram: L/kg, mL/g."""
    return i + 1 < high and tokens[i].low in ("/", "per") and tokens[i + 1].low in ("kg", "g", "gram", "kilogram")


_MASS_ML = {**dict.fromkeys(("g", "gm", "gms", "gram", "grams"), 1.0), "kg": 1000.0}
_WATERS = ("water", "ice_water")


def _is_of_water(tokens: Sequence[Token], i: int, unit: int, high: int) -> bool:
    """Tell whether a mass, its number at ``i``, is one of ice or water: 100 g of crushed ice, ice (100 g)."""
    k = unit + 1
    while k < high and (tokens[k].low in (".", "the") or tokens[k].has("of", "cold")):
        k += 1
    if k < high and tokens[k].kinds.get("solution") in _WATERS:
        return True
    named = i > 1 and tokens[i - 1].low == "(" and tokens[i - 2].kinds.get("solution") in _WATERS
    return named and unit + 1 < len(tokens) and tokens[unit + 1].low in (")", ",", ";")


def _next(tokens: Sequence[Token], i: int, high: int) -> Token | None:
    return tokens[i] if i < high else None


def whole(value: float | None) -> int | None:
    """Return a number of portions, up to 20, or ``None``."""
    return int(value) if value is not None and value == value and value == int(value) and 1 <= value <= 20 else None


def count_of(token: Token | None) -> float | None:
    """Return the number that a word stands for, in digits or letters."""
    if token is None:
        return None
    return token.number if token.number is not None else token.kinds.get("numword")


def amount_at(tokens: Sequence[Token], i: int, high: int) -> tuple[int, Amount] | None:
    """Read one amount at ``i``: a volume, how often, a strength, a pH or a ratio; return where it ends."""
    first = tokens[i]
    amount = Amount(start=first.start, end=first.end)

    def done(j: int) -> tuple[int, Amount]:
        amount.end = tokens[j - 1].end
        return j, amount

    if (unit := _letter_unit(tokens, i, high)) > 0:
        amount.letter = 1.0 if first.number is None else first.number
        written = " ".join(t.low for t in tokens[i : unit + 1])
        amount.notes.append(f"{written}: the letter stands for no number here, no volume counted")
        return done(unit + 1)
    for kind in ("half", "sat"):
        if first.has(kind):
            amount.state = kind
            amount.words.append((first.start, first.end))
            return done(i + 1)
    if first.has("relative"):
        amount.relative = first.kinds["relative"]
        amount.each = first.low.endswith("volumes") and "equal" in first.low
        j = i + 1
        while j < high and (tokens[j].has("of", "portions") or tokens[j].low in ("of", "each")):
            j += 1
        return done(j)
    if first.low == "once" and i and tokens[i - 1].low == "at":
        return None  # at once
    if first.has("times") and first.low != "neutral":
        amount.repeats, note = first.kinds["times"]
        if note:
            amount.notes.append(note)
        return done(i + 1)
    if first.has("vague"):
        amount.notes.append(f"{first.low}: no volume counted")
        return done(i + 1)
    if first.has("ph"):
        j = i + 1
        while j < high and (
            tokens[j].low
            in (
                "=",
                "of",
                "~",
                "about",
                "approximately",
                "ca",
                ".",
                "<",
                ">",
                "around",
                ":",
                "value",
                "is",
                "was",
                "to",
                "at",
                "a",
                "≤",
                "≥",
                "below",
                "above",
            )
        ):
            j += 1
        value = count_of(_next(tokens, j, high))
        if value is None or not 0 <= value <= 14:
            return None
        low = value
        if (
            (k := j + 1) + 1 < high
            and tokens[k].low in ("-", "to")
            and (upper := count_of(tokens[k + 1])) is not None
            and 0 <= upper <= 14
        ):
            low, j = (value + upper) / 2, k + 1
        amount.ph = low
        return done(j + 1)
    if first.has("x") and first.low in ("x", "*"):
        # "x 3" after a volume.
        if (times := whole(count_of(_next(tokens, i + 1, high)))) is not None:
            behind = _next(tokens, i + 2, high)
            if behind is not None and behind.has("ml"):
                return None
            amount.repeats = times
            j = i + 2
            if j < high and tokens[j].low in ("times", "time"):
                j += 1
            return done(j)
        return None
    if first.low in ("n", "m") and i + 2 < high and tokens[i + 1].low == "/" and first.end == tokens[i + 1].start:
        # N/2, M/10: as it used to be written.
        part = tokens[i + 2].number
        if part and tokens[i + 2].start == tokens[i + 1].end and not (i + 3 < high and tokens[i + 3].has("ml")):
            setattr(amount, "normal" if first.low == "n" else "molar", 1.0 / part)
            amount.words.append((first.start, tokens[i + 2].end))
            return done(i + 3)
    if first.has("dil") and first.low != "diluted":
        amount.state = "dil"
        amount.words.append((first.start, first.end))
        return done(i + 1)
    value = count_of(first)
    if value is None or value != value:
        return None
    return _numbered(tokens, i, high, value, amount)


def _letter_unit(tokens: Sequence[Token], i: int, high: int) -> int:
    """Return where the unit stands of a volume that is a letter or a multiple of one (x mL, 3n mL), or 0."""
    k = i + 1 if tokens[i].number is not None else i
    letter = k + 1 < high and tokens[k].low in ("x", "n", "y") and tokens[k + 1].has("ml")
    return k + 1 if letter and tokens[k + 1].low in ("ml", "mls", "µl") else 0


def _numbered(tokens: Sequence[Token], i: int, high: int, value: float, amount: Amount) -> tuple[int, Amount] | None:
    """Read an amount that begins with a number."""
    j = i + 1

    def done(k: int) -> tuple[int, Amount]:
        amount.end = tokens[k - 1].end
        return k, amount

    def trail(k: int) -> int:
        """Pass over the words that only say that the volume is of one portion."""
        while k < high:
            token = tokens[k]
            if token.has("each"):
                # "Each time" is of one solution, "each" of all.
                amount.each = token.low in ("each", "of each", "apiece", "ea")
            elif not (
                token.has("portions")
                or token.has("of")
                or token.low in ("-", "more", "fresh", "further", "additional", "new")
            ):
                if (
                    token.low == "."
                    and k + 1 < high
                    and tokens[k - 1].has("ml")
                    and (tokens[k + 1].has("portions", "of", "each") or tokens[k + 1].low == "x")
                ):
                    k += 1
                    continue
                break
            k += 1
        return k

    token = _next(tokens, j, high)
    if (
        token is not None
        and token.low
        in (
            "more",
            "further",
            "additional",
            "fresh",
            "other",
            "small",
            "equal",
            "successive",
            "consecutive",
            "separate",
        )
        and j + 1 < high
    ) and (tokens[j + 1].has("portions", "x") or (j + 2 < high and tokens[j + 2].has("ml"))):
        j, token = j + 1, tokens[j + 1]
    # Ranges: 20-30 mL, 5 to 10 %.
    if token is not None and token.low in ("-", "to") and (upper := count_of(_next(tokens, j + 1, high))) is not None:
        unit = _next(tokens, j + 2, high)
        if unit is not None and unit.has("ml", "pct", "molar", "normal", "other unit", "portions", "x"):
            amount.notes.append(f"{value:g} to {upper:g}: {(value + upper) / 2:g} counted")
            value, j, token = (value + upper) / 2, j + 2, unit
    if token is None:
        return _bare(tokens, i, high, value, amount)
    if (token.low == "," or token.has("ml")) and (listed := _volumes(tokens, i, high)) is not None:
        # "ether (50, 30, 20 mL)": portions of the mean volume
        j, volumes = listed
        amount.repeats, amount.volume = len(volumes), sum(volumes) / len(volumes)
        amount.notes.append(f"{len(volumes)} portions of different volumes: {amount.volume:.3g} mL each counted")
        return done(j)
    if token.low == ":" and i and tokens[i - 1].has("verb") and j + 1 < high and tokens[j + 1].start > token.end:
        return None  # "Wash 1: 20 mL of water"
    if token.low in (":", "/") and (other := count_of(_next(tokens, j + 1, high))) is not None:
        if value == 1 and other == 2 and (after := _next(tokens, j + 2, high)) is not None and after.has("sat"):
            amount.state = "half"
            return done(j + 3)
        k = j + 2
        while k < high and (tokens[k].low in ("the", "a", "its") or tokens[k].has("of")):
            k += 1
        if token.low == "/" and value < other and k < high and (tokens[k].has("volumes", "relative")):
            amount.relative = value / other  # 1/3 of the volume, 1/3 the volume
            return done(k + 1)
        amount.ratio = (value, other)
        amount.words.append((tokens[i].start, tokens[j + 1].end))
        return done(j + 2)
    if token.low in _MASS_ML and _is_of_water(tokens, i, j, high):
        # 100 g of ice is 100 mL of water.
        amount.volume = value * _MASS_ML[token.low]
        return done(j + 1)
    if token.has("ml") and j + 2 < high and tokens[j + 1].low in ("/", "per") and tokens[j + 2].low in ("mmol", "mol"):
        amount.notes.append(f"{value:g} mL for each {tokens[j + 2].low}: not counted")
        return done(j + 3)
    if token.has("ml") and _per_mass(tokens, j + 1, high):
        # 5 L/kg, 8 mL/g: as process chemists count.
        amount.relative = value if token.kinds["ml"] in (1, 1000) else None
        return done(j + 3)
    if token.has("ml"):
        amount.volume = value * token.kinds["ml"]
        j = j + 1
        if (
            j < high
            and tokens[j].low == "."
            and j + 1 < high
            and (tokens[j + 1].has("x", "portions", "each", "of") or not tokens[j + 1].capital)
            and not _letter_unit(tokens, j + 1, high)
        ):
            j += 1
        j = trail(j)
        # 20 mL x 3, (20 mL, 3x), 20 mL three times.
        k = j
        if k < high and tokens[k].low == "," and k + 2 < high and tokens[k + 2].has("x"):
            k += 1
        if k < high and (got := repeats_at(tokens, k, high)) is not None:
            j, amount.repeats = got
            j = trail(j)
        return done(j)
    if token.low in ("x", "*", "lots of") or token.has("portions", "x"):
        times = whole(value)
        k = j + 1
        if token.has("portions") or token.low in ("times", "time", "fold", "mal", "lots of"):
            if times is None:
                return None
            amount.repeats = times
            k = trail(k)
            return _with_volume(tokens, k, high, amount) or done(k)
        if times and k < high and tokens[k].has("relative"):
            amount.repeats, amount.relative = times, tokens[k].kinds["relative"]  # 2 x 1 vol
            return done(trail(k + 1))
        second = count_of(_next(tokens, k, high))
        if second is not None and second == second:
            unit = _next(tokens, k + 1, high)
            if times and unit is not None and unit.low == "/" and (part := count_of(_next(tokens, k + 2, high))):
                # 3 x 1/2 volumes, 3 x 1/4: of the volume of the layer.
                noun = _next(tokens, k + 3, high)
                amount.repeats, amount.relative = times, second / part
                return done(k + 4 if noun is not None and noun.has("volumes") else k + 3)
            if times and unit is not None and unit.has("volumes"):
                amount.repeats, amount.relative = times, second
                return done(k + 2)
            if unit is not None and unit.has("pct", "molar", "normal") and not unit.has("ml"):
                amount.repeats = times
                return done(k)
            if times is None or (
                value > 9 and whole(second) is not None and second < value and not (unit and unit.has("ml"))
            ):
                value, second, times = second, value, whole(second)
            if times is None:
                return None
            amount.repeats = times
            k += 1
            if unit is not None and unit.has("ml"):
                amount.volume = second * unit.kinds["ml"]
                k += 1
            else:
                amount.volume = second
                amount.notes.append(f"{second:g} mL: the unit was not written")
            return done(trail(k))
        if times is None:
            return None
        amount.repeats = times
        return done(trail(k))
    if token.has("pct"):
        amount.percent = value
        amount.words.append((tokens[i].start, token.end))
        j += 1
        # 10% w/v, 10% (w/v)
        return done(j)
    strength_next = _next(tokens, j + 1, high)
    if token.has("molar", "normal"):
        if token.low == "m" and strength_next is not None and strength_next.low == "in":
            pass
        if token.has("normal"):
            amount.normal = value
        else:
            amount.molar = value
        amount.words.append((tokens[i].start, token.end))
        return done(j + 1)
    if token.has("other unit") or token.low in ("°", "'"):
        return None
    if token.has("volumes"):
        amount.relative = value
        return done(trail(j + 1))
    if (inner := count_of(token)) is not None:
        # three 20 mL portions
        unit = _next(tokens, j + 1, high)
        if unit is not None and unit.has("ml") and whole(value) is not None:
            amount.repeats = whole(value)
            amount.volume = inner * unit.kinds["ml"]
            return done(trail(j + 2))
    if tokens[i].has("numword"):
        # "two washes", "three portions of".
        if token.has("verb") and token.low in ("washes", "extractions", "washings", "wash"):
            amount.repeats = whole(value)
            return done(i + 1)
        if token.has("solution", "solvent", "sat"):
            amount.repeats = whole(value)
            return done(i + 1)
        return None
    return _bare(tokens, i, high, value, amount)


def _volumes(tokens: Sequence[Token], i: int, high: int) -> tuple[int, list[float]] | None:
    """Read volumes in a row with one unit at their end, in brackets; return where it ends and the volumes in mL."""
    if not i or tokens[i - 1].low != "(":
        return None
    numbers: list[float] = []
    k = i
    while k < high and (number := tokens[k].number) is not None:
        numbers.append(number)
        k += 1
        if k < high and tokens[k].has("ml"):
            if len(numbers) > 1 and not (
                k + 2 < high and tokens[k + 1].low == "," and tokens[k + 2].number is not None
            ):
                return k + 1, [n * tokens[k].kinds["ml"] for n in numbers]
            k += 1
        while k < high and (tokens[k].low == "," or tokens[k].has("conj")):
            k += 1
    return None


def _bare(tokens: Sequence[Token], i: int, high: int, value: float, amount: Amount) -> tuple[int, Amount] | None:
    """Read a number without a unit: a volume where it can be one."""
    if tokens[i].number is None or not 5 <= value <= 5000:
        return None
    if i and (
        tokens[i - 1].low == "@" or (tokens[i - 1].low == "-" and i > 1 and tokens[i - 2].low in ("@", "at", "to"))
    ):
        return None  # "@ -78": a temperature
    if ((after := _next(tokens, i + 1, high)) is not None and after.low in ("-", "°", "'")) or (
        after and after.number is not None
    ):
        return None
    amount.volume = value
    amount.notes.append(f"{value:g} mL: the unit was not written")
    return i + 1, amount


def repeats_at(tokens: Sequence[Token], i: int, high: int) -> tuple[int, int] | None:
    """Read how often: x 3, 3x, three times, twice; return where it ends and the number."""
    token = tokens[i]
    if token.low == "once" and i and tokens[i - 1].low == "at":
        return None
    if token.has("times") and not token.kinds["times"][1]:
        return i + 1, token.kinds["times"][0]
    if token.low in ("x", "*") and (times := whole(count_of(_next(tokens, i + 1, high)))) is not None:
        unit = _next(tokens, i + 2, high)
        if unit is not None and unit.low in ("times", "time"):
            return i + 3, times
        return (i + 2, times) if unit is None or not unit.has("ml", "pct", "molar", "normal") else None
    if (
        (times := whole(count_of(token))) is not None
        and (unit := _next(tokens, i + 1, high)) is not None
        and unit.has("x")
    ):
        after = _next(tokens, i + 2, high)
        if after is None or count_of(after) is None or unit.low != "x":
            return i + 2, times
    return None


def _with_volume(tokens: Sequence[Token], i: int, high: int, amount: Amount) -> tuple[int, Amount] | None:
    """Read the volume after how often: three times with 20 mL, 3 portions (20 mL)."""
    k = i
    while k < high and tokens[k].low in ("of", "with", "(", "using"):
        k += 1
    value = count_of(_next(tokens, k, high))
    unit = _next(tokens, k + 1, high)
    if (
        value is None
        or unit is None
        or not unit.has("ml")
        or tokens[k].number is None
        or any(t.low == "(" for t in tokens[i:k])
    ):
        return None
    amount.volume = value * unit.kinds["ml"]
    k += 2
    while k < high and tokens[k].has("portions", "each", "of"):
        k += 1
    amount.end = tokens[k - 1].end
    return k, amount
