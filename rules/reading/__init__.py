"""Read a workup that somebody wrote, in prose or as a table, into the steps of a proposal.

The text is cut into words (``characters``), the words of the trade are recognised (``lexicon``, ``trade`` and the
tables), and each verb takes what stands around it (``walk``, and a file for each kind of verb); then the workup is told
from what surrounds it (``portion``). All passes are linear in the length of the text. A grammar is not used: people
leave out verbs, commas and units where they like, and words after a verb belong to it as far as they reach.
"""

from __future__ import annotations

from typing import Any

from washlore.knowledge.records import replace
from washlore.rules.proposal import Proposal

from .errors import MAX_CHARACTERS, MAX_ROWS, ReadingError
from .headings import steps_alone
from .layers import makes_layer
from .portion import portion
from .solids import with_solids
from .tables import has_header, read_rows, table_in_text
from .walk import walk

__all__ = ["MAX_CHARACTERS", "MAX_ROWS", "ReadingError", "organic_solvent", "read_plan", "read_table"]


def read_plan(text: str, several: bool = False) -> Proposal:
    """Return the workup in ``text`` (free text, any style) as steps with their places in it.

    ``several``: it is for more than one product, and goes on when the first is dry.

    Raises ``ReadingError`` where ``text`` is not text or has more than ``MAX_CHARACTERS`` characters. A text without
    a workup gives a ``Proposal`` without steps.
    """
    _check(text)
    alone = steps_alone(text)
    drawn = table_in_text(alone) if "|" in alone or "\t" in alone or has_header(alone) else None
    read = drawn or portion(walk(alone), several)
    return with_solids(read if alone is text else replace(read, text=text))


def read_table(text: str, kind: str) -> Proposal:
    """Return a plan given as a table: ``kind`` is ``csv`` (with a header) or ``toml`` (an array of tables, ``step``).

    Columns: step, solution, strength, volume, repeats, layer kept; further: desiccant, ph, note. Each row is one step.

    Raises ``ReadingError`` where the table cannot be parsed or has no column that says what is done.
    """
    _check(text)
    return read_rows(text, kind)


def organic_solvent(plan: Proposal) -> str:
    """Return the id of the solvent that the organic layer of the first wash is in, as far as the words tell; or "".

    What it was extracted with comes first, then what the layer is called, then what was added or what the residue was
    dissolved in, and last the solvent of the reaction.
    """
    end = next((k for k, s in enumerate(plan.steps) if s.action == "wash"), len(plan.steps))
    early = plan.steps[:end]
    # A residue that is dissolved anew is in the new solvent.
    fresh = max((k for k, s in enumerate(early) if s.action in ("concentrate", "evaporate")), default=-1) + 1
    for steps in (early[fresh:], early):
        if found := next(
            (s.solvent for s in steps if s.action == "extract" and s.solvent and s.phase_kept != "aqueous"), ""
        ):
            return found
        if found := next((s.phase_solvent for s in plan.steps[fresh : end + 1] if s.phase_solvent), ""):
            return found
        if found := next(
            (
                s.solvent
                for s in reversed(steps)
                if s.action in ("dilute", "quench", "take up") and s.solvent and makes_layer(s.solvent)
            ),
            "",
        ):
            return found
    return (
        next((s.phase_solvent for s in plan.steps if s.phase_solvent), "")
        or plan.solvent_before
        or next((s.solvent for s in plan.steps if s.action == "extract" and s.solvent), "")
    )


def _check(text: Any) -> None:
    if not isinstance(text, str):
        raise ReadingError(
            f"The plan was given as {type(text).__name__}, not as text; write it as people write a workup."
        )
    if len(text) > MAX_CHARACTERS:
        raise ReadingError(
            f"The plan has {len(text):,} characters; up to {MAX_CHARACTERS:,} can be read. Give the workup alone."
        )
