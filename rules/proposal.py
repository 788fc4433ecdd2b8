"""A workup that somebody else wrote, as read: the steps, each tied to the words it comes from, and what was not read."""

from __future__ import annotations

from dataclasses import dataclass

ACTIONS = (
    "quench",
    "evaporate",
    "dilute",
    "filter",
    "wash",
    "extract",
    "take up",
    "set ph",
    "combine",
    "discard",
    "dry",
    "filter off desiccant",
    "rinse",
    "concentrate",
    "vent",
    "check ph",
    "cool",
    "wait",
)


@dataclass(frozen=True, slots=True)
class ReadStep:
    """One operation as read. ``start`` and ``end`` are positions in the text, ``words`` what stands there.

    ``action`` is one of ``ACTIONS``: ``wash`` (the organic layer with an aqueous solution), ``extract`` (an aqueous
    layer with an organic solvent), ``take up`` (the product into an aqueous solution), ``dilute`` (add solvent or
    water). ``solution``, ``solvent`` and ``desiccant`` are ids of the tables, empty where none is named or it is not
    known; ``strength`` is what was written. ``volume_ml`` is of one portion, ``None`` if not said. ``phase_kept`` is
    organic, aqueous or empty if not said, ``layer_kept`` top, bottom or empty. ``phase_solvent`` is the solvent of
    the organic layer where the words name it ("the ether layer was washed"). ``assumed`` lists, in words, what was
    filled in. A ``dilute`` or ``quench`` with both a solution and a solvent was between the two. ``rinse`` is of a
    solid or a desiccant.
    """

    action: str
    start: int
    end: int
    words: str
    solution: str = ""
    strength: str = ""
    solvent: str = ""
    desiccant: str = ""
    volume_ml: float | None = None
    relative_volume: float | None = None
    repeats: int = 1
    target_ph: float | None = None
    phase_kept: str = ""
    layer_kept: str = ""
    phase_solvent: str = ""
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unread:
    """Words of the workup that could not be read, with their place."""

    start: int
    end: int
    words: str
    reason: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """A whole plan as read: the steps in order, what was not read, and what was set aside as not being workup.

    ``solvent_before`` is the water-immiscible solvent that the text names before the workup: likely the organic layer
    where the workup names none (``washlore.rules.reading.organic_solvent`` weighs them).
    """

    text: str
    steps: tuple[ReadStep, ...]
    unread: tuple[Unread, ...]
    before: tuple[int, int] | None = None
    after: tuple[int, int] | None = None
    solvent_before: str = ""

    @property
    def readable(self) -> bool:
        """Tell whether anything of a workup was found."""
        return bool(self.steps)
