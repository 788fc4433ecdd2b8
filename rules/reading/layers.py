"""The layers, solids and liquids that the words name."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Solvent, table

from . import trade
from .characters import Token


@dataclass
class Phase:
    """A layer that the words name."""

    kind: str  # organic, aqueous, top, bottom, liquid, solid, residue, layers
    solvent: str = ""
    index: int = 0
    last: int = 0


def layers_in(tokens: Sequence[Token], verbs: set[int]) -> list[Phase]:
    """Find the layers, solids and liquids that the words name."""
    found: list[Phase] = []
    count = len(tokens)
    i = 0
    while i < count:
        token = tokens[i]
        if token.low in ("up", "down") and i + 1 < count and tokens[i + 1].has("layer"):
            found.append(Phase("top" if token.low == "up" else "bottom", "", i, i + 1))
            i += 2
            continue
        if not token.kinds and token.low != "mixture":
            i += 1
            continue
        after = tokens[i + 1] if i + 1 < count else None
        if after is not None and after.low == "." and i + 2 < count and i + 1 not in verbs:
            after_index = i + 2
            after = tokens[after_index]
        else:
            after_index = i + 1
        step = 1
        if (
            i + 4 < count
            and after is not None
            and after.low == "("
            and tokens[i + 3].low == ")"
            and tokens[i + 4].has("layer")
        ):
            # The lower (DCM) layer, the aqueous (top) layer.
            pair = (token, tokens[i + 2])
            name = next(
                (n for n in ("organic", "aqueous", "solvent", "top", "bottom") if any(t.has(n) for t in pair)), ""
            )
            if name:
                solvent = next((t.kinds["solvent"] for t in pair if t.has("solvent")), "")
                found.append(Phase("organic" if name == "solvent" else name, solvent, i, i + 4))
                i += 5
                continue
        alone = after is None  # the last word
        noun = not alone and after_index not in verbs
        after = after or Token("", 0, 0)
        layer = noun and (after.has("layer") or after.has("extracts") or after.low in ("portion", "one", "part"))
        liquid = noun and after is not None and (after.low in trade.WORDS["soln"])
        if i in verbs or token.has("ignore"):
            pass
        elif token.has("organics"):
            found.append(Phase("organic", "", i, i))
        elif token.has("organic") and (
            layer or liquid or (noun and after.has("solvent", "organic")) or (noun and after.low in ("/", "phase"))
        ):
            last = after_index
            solvent = token.kinds.get("solvent", "")
            if after.has("solvent"):
                solvent = after.kinds["solvent"]
                if last + 1 < count and tokens[last + 1].has("layer", "extracts"):
                    last += 1
            elif token.low in ("ethereal", "etheral"):
                solvent = "diethyl_ether"
            found.append(Phase("organic", solvent, i, last))
            step = last - i + 1
        elif (
            token.has("organic")
            and token.low in ("organic", "org")
            and (
                (after is not None and (after.has("aux") or after_index in verbs))
                or (alone and i and (i - 1 in verbs or tokens[i - 1].low in ("the", "all")))
            )
        ):
            found.append(Phase("organic", "", i, i))
        elif (
            (token.has("aqueous") and layer)
            or (
                token.has("aqueous")
                and i
                and after.has("with")
                and (i - 1 in verbs or (tokens[i - 1].low == "the" and i > 1 and i - 2 in verbs))
            )
            or (
                token.has("aqueous")
                and liquid
                and i
                and tokens[i - 1].low
                in ("the", "this", "combined", "resulting", "acidic", "basic", "alkaline", "remaining", "residual")
                and not (after_index + 1 < count and tokens[after_index + 1].low == "of")
            )
        ):
            found.append(Phase("aqueous", "", i, after_index))
            step = after_index - i + 1
        elif (
            token.has("aqueous")
            and after is not None
            and (
                after.has("aux")
                or after_index in verbs
                or (after.low == "," and i and (i - 1 in verbs or tokens[i - 1].low in ("the", "all")))
            )
            and (i == 0 or (not tokens[i - 1].has("solution", "solvent", "sat") and tokens[i - 1].low != "("))
        ) or (token.has("aqueous") and alone and i and (i - 1 in verbs or tokens[i - 1].low in ("the", "all"))):
            found.append(Phase("aqueous", "", i, i))
        elif (
            token.has("solvent")
            and i
            and tokens[i - 1].low in ("combined", "pooled")
            and after.kinds.get("verb") in ("wash", "dry")
        ):
            found.append(Phase("organic", token.kinds["solvent"], i, i))
        elif (
            token.has("solvent")
            and not token.has("solution")
            and (i == 0 or tokens[i - 1].low in ("the", "this") or tokens[i - 1].has("conj"))
            and after_index == i + 1
            and (
                after.low in ("was washed", "washed")
                or (after.has("aux") and i + 2 < count and tokens[i + 2].kinds.get("verb") in ("wash", "dry"))
            )
        ):
            found.append(Phase("organic", token.kinds["solvent"], i, i))  # "the ether was washed"
        elif token.has("solvent") and (layer or liquid) and not (liquid and i and tokens[i - 1].low in ("in",)):
            if not (
                after.low in ("solution",)
                and i
                and (
                    (tokens[i - 1].has("with") and tokens[i - 1].low in ("with", "into"))
                    or tokens[i - 1].number is not None
                )
            ):
                found.append(Phase("organic", token.kinds["solvent"], i, after_index))
                step = after_index - i + 1
        elif (token.has("solution") and layer and not (False)) or (token.has("acidic", "basic") and (layer or liquid)):
            found.append(Phase("aqueous", "", i, after_index))
            step = after_index - i + 1
        elif token.has("top", "bottom") and (
            layer or (after is not None and (after.has("organic", "aqueous", "solvent")))
        ):
            last = after_index
            kind = "top" if token.has("top") else "bottom"
            if after is not None and after.has("organic", "aqueous"):
                kind = "organic" if after.has("organic") else "aqueous"
                if last + 1 < count and tokens[last + 1].has("layer"):
                    last += 1
            elif after is not None and after.has("solvent") and not after.has("layer"):
                kind = "organic"
                if last + 1 < count and tokens[last + 1].has("layer"):
                    last += 1
            found.append(Phase(kind, "", i, last))
            step = last - i + 1
        elif (
            token.has("top", "bottom")
            and i
            and i - 1 in verbs
            and tokens[i - 1].kinds.get("verb") in ("drain", "discard", "keep")
            and (alone or after.low in (",", ";", ".", ")"))
        ):
            found.append(Phase("top" if token.has("top") else "bottom", "", i, i))  # "shake, drain lower"
        elif (
            token.has("top", "bottom")
            and i
            and tokens[i - 1].low == "the"
            and (i == 1 or i - 2 in verbs or tokens[i - 2].low in (",", ";") or tokens[i - 2].has("conj"))
            and (alone or after.low in (",", ";", ".", ")") or after.has("aux", "conj"))
        ):
            found.append(
                Phase("top" if token.has("top") else "bottom", "", i, i)
            )  # "keep the lower, discard the upper"
        elif token.has("extracts") and not token.has("desiccant") and (not token.has("verb") or i not in verbs):
            found.append(Phase("organic", "", i, i))
        elif token.low in ("washings",) or (
            token.low in ("washes", "wash") and i not in verbs and after is not None and after.has("aux")
        ):
            found.append(Phase("aqueous", "", i, i))
        elif (
            token.low in ("solution", "mixture")
            and after is not None
            and after.has("aux")
            and i
            and not tokens[i - 1].has("solution", "soln")
        ) or token.has("filtrate"):
            found.append(Phase("liquid", "", i, i))
        elif token.low in ("layers", "phases", "lyrs", "phasen"):
            found.append(Phase("layers", "", i, i))
        elif (token.has("solid") and not token.has("verb")) or (
            token.has("solid") and i and tokens[i - 1].low in ("the",)
        ):
            found.append(Phase("solid", "", i, i))
        elif token.has("residue"):
            found.append(Phase("residue", "", i, i))
        i += step
    return found


def miscibility(identifier: str) -> tuple[int, int]:
    """Return how well a solvent mixes with water, in order."""
    row = table(Solvent)[identifier]
    return ("immiscible", "partly", "miscible").index(row.miscibility), int(not row.extractant)


def makes_layer(identifier: str) -> bool:
    """Tell whether a solvent makes an organic layer over or under water, and is used for that."""
    row = table(Solvent)[identifier]
    return row.extractant or (row.miscibility == "immiscible" and identifier != "carbon_disulfide")


def solvent_name(identifier: str) -> str:
    """Return the name of a solvent."""
    row = table(Solvent).get(identifier)
    return row.name if row else identifier


ALKANES = frozenset(
    {"hexane", "heptane", "pentane", "petroleum_ether", "cyclohexane", "methylcyclohexane", "isooctane"}
)
