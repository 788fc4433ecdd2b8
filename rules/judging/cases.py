"""Cases of judging rules: a mixture and a plan in shorthand, one step for each stroke.

``"wash hcl_1m 2x15 | wash brine | dry mgso4 | filter off desiccant | concentrate"``: action, id of solution, solvent or
drying agent, volume in mL with repeats, ``conc``, ``pH 2``, ``organic`` or ``aqueous`` and ``top`` or ``bottom`` for what is kept.
"""

from __future__ import annotations

import re
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Solution, Solvent, table
from washlore.rules.engine import Case
from washlore.rules.proposal import ACTIONS, Proposal, ReadStep


@dataclass(frozen=True)
class PlanCase(Case):
    """A mixture and a plan for it on which a judging rule is known to fire or to stay silent, and why."""

    plan: str = ""
    # The plan as a bulleted list, one line for each step.
    bullets: bool = False


_HOW = frozenset(
    ("all", "at", "once", "quickly", "in", "vacuo", "rotovap", "added", "never", "suck", "dry", "into", "bin")
)
# Solvents as they are written in the words that say what is stripped.
_NAMED = frozenset(("NMP", "DMSO", "THF"))
_VOLUME = re.compile(r"^(?:(\d+)x)?(\d+(?:\.\d+)?)$")


def shorthand(text: str, bullets: bool = False) -> Proposal:
    """Return the proposal that a plan in shorthand stands for; raise ``ValueError`` for a word that is none of it."""
    if bullets:
        text = "|".join(f"\n- {part.strip()}" for part in text.split("|"))
    steps, place = [], 0
    for part in text.split("|"):
        start = place + len(part) - len(part.lstrip(" \n-"))
        words = part.strip(" \n-")
        steps.append(_step(words, start))
        place += len(part) + 1
    return Proposal(text, tuple(steps), ())


def _step(words: str, start: int) -> ReadStep:
    action = max((a for a in ACTIONS if words == a or words.startswith(f"{a} ")), key=len, default="")
    if not action:
        raise ValueError(f"{words!r} begins with no action; the actions are {', '.join(ACTIONS)}.")
    values: dict[str, Any] = {}
    rest = words[len(action) :].partition(" to remove ")[0].split()
    while rest:
        word = rest.pop(0)
        volume = _VOLUME.match(word)
        if word == "pH":
            values["target_ph"] = float(rest.pop(0))
        elif volume:
            values["repeats"], values["volume_ml"] = (int(volume[1] or 1), float(volume[2]))
        elif word in _HOW or word in _NAMED:
            pass  # how it is done; rules read it from the words
        elif word.endswith("x") and word[:-1].isdigit():
            values["repeats"] = int(word[:-1])
        elif word == "conc":
            values["strength"] = word
        elif word in ("organic", "aqueous"):
            values["phase_kept"] = word
        elif word in ("top", "bottom"):
            values["layer_kept"] = word
        elif word in table(Solution) and action not in ("extract", "rinse"):
            values["solution"] = word
        elif word in table(Solvent):
            values["solvent"] = word
        elif word in table(Desiccant):
            values["desiccant"] = word
        else:
            raise ValueError(f"{word!r} in {words!r} is no solution, solvent, drying agent, volume or layer.")
    return ReadStep(action, start, start + len(words), words, **values)
