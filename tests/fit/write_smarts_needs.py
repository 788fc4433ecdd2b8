"""Write down what a match of each SMARTS of the tables needs, so that no start has to read it off: ``knowledge/smarts_needs.py``.

    python tests/fit/write_smarts_needs.py [PATH OF smarts_needs.py]

What the file lacks is read off when it is asked for, which takes longer and comes to the same; ``tests/test_smarts.py`` tells
when many rows have been added.
"""

from __future__ import annotations

import heapq
import sys
from collections import Counter
from pathlib import Path

from washlore.knowledge import scope, smarts
from washlore.knowledge.acidity import SiteClass
from washlore.knowledge.kinetics import Rate
from washlore.knowledge.rows import Group, Reagent, Residue, table
from washlore.knowledge.smarts_reading import needs
from washlore.knowledge.solute import SoluteFragment
from washlore.knowledge.structure import molecules

HEAD = '''"""What a match of each SMARTS of the tables needs, as bits of ``NEEDS``; ``tests/fit/write_smarts_needs.py`` wrote it."""

# ruff: noqa: E501
# fmt: off
'''


# Of so many pairs of a SMARTS and a molecule.
LEAST_TOLD = 20


def all_smarts() -> list[str]:
    """Return the SMARTS that are looked for one after the other, of the tables and of what is out of scope, each once."""
    rows = [row for kind in (Group, Residue, SiteClass, SoluteFragment, Rate) for row in table(kind).values()]
    texts = [row.smarts for row in rows] + [pattern.smarts for pattern in scope.PATTERNS]
    return list(dict.fromkeys(filter(None, texts)))


def telling(needed: dict[str, frozenset[str]], held: list[frozenset[str]]) -> list[str]:
    """Return the needs that tell of the most SMARTS that they have no match in molecules which hold so much, best first.

    Each is worth what those before it do not tell.
    """
    width = len(held)
    lacking: dict[str, set[int]] = {}
    for i, needs_here in enumerate(needed.values()):
        for need in needs_here:
            lacking.setdefault(need, set()).update(i * width + j for j, holds in enumerate(held) if need not in holds)
    queue = [(-len(told), need) for need, told in lacking.items()]
    heapq.heapify(queue)
    chosen: list[str] = []
    known: set[int] = set()
    while queue:
        promised, need = heapq.heappop(queue)
        told = len(lacking[need] - known)
        if told < LEAST_TOLD:
            continue
        if told < -promised:
            heapq.heappush(queue, (-told, need))
            continue
        known |= lacking[need]
        chosen.append(need)
    return chosen


def main() -> None:
    """Write the file."""
    path = Path(sys.argv[1]) if sys.argv[1:] else Path(smarts.__file__).with_name("smarts_needs.py")
    needed = {text: needs(text) for text in all_smarts()}
    everything = sorted(set().union(*needed.values()))
    for kept in (smarts._asked, smarts._atom_bits, smarts._bond_bits, smarts._surroundings_bits):
        kept.cache_clear()
    smarts._BITS.clear()
    smarts._BITS.update((need, 1 << place) for place, need in enumerate(everything))
    held = []
    for smiles in dict.fromkeys(row.smiles for row in table(Reagent).values()):
        bits = smarts._holdings(molecules(smiles)[0].mol)
        held.append(frozenset(need for place, need in enumerate(everything) if bits >> place & 1))
    chosen = telling(needed, held)
    often = Counter(need for needed_here in needed.values() for need in needed_here)
    order = sorted(chosen, key=lambda need: (-often[need], need))
    bit = {need: 1 << place for place, need in enumerate(order)}
    lines = [HEAD, "NEEDS = (\n"]
    lines += [
        f"    {', '.join(f'{chr(34)}{need}{chr(34)}' for need in order[i : i + 10])},\n"
        for i in range(0, len(order), 10)
    ]
    lines += [")\n", "KNOWN = {\n"]
    lines += [
        f"    {text!r}: {sum(bit[need] for need in all_of_it if need in bit):#x},\n"
        for text, all_of_it in needed.items()
    ]
    path.write_text("".join([*lines, "}\n"]), encoding="utf-8")


if __name__ == "__main__":
    main()
