"""Write down what a match of each SMARTS of the tables needs, so that no start has to read it off: ``knowledge/smarts_needs.py``.

    python tests/fit/write_smarts_needs.py [PATH OF smarts_needs.py]

What the file lacks is read off when it is asked for, which takes longer and comes to the same; ``tests/test_smarts.py`` tells
when many rows have been added.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from washlore.knowledge import smarts
from washlore.knowledge.acidity import SiteClass
from washlore.knowledge.rows import Group, Residue, table
from washlore.knowledge.smarts_reading import needs
from washlore.knowledge.solute import SoluteFragment

HEAD = '''"""What a match of each SMARTS of the tables needs, as bits of ``NEEDS``; ``tests/fit/write_smarts_needs.py`` wrote it."""

# ruff: noqa: E501
# fmt: off
'''


def all_smarts() -> list[str]:
    """Return the SMARTS of the tables that are looked for one after the other, each once."""
    rows = [row for kind in (Group, Residue, SiteClass, SoluteFragment) for row in table(kind).values()]
    return list(dict.fromkeys(row.smarts for row in rows if row.smarts))


def main() -> None:
    """Write the file."""
    path = Path(sys.argv[1]) if sys.argv[1:] else Path(smarts.__file__).with_name("smarts_needs.py")
    needed = {text: needs(text) for text in all_smarts()}
    often = Counter(need for needed_here in needed.values() for need in sorted(needed_here))
    order = sorted(often, key=lambda need: (-often[need], need))
    bit = {need: 1 << place for place, need in enumerate(order)}
    lines = [HEAD, "NEEDS = (\n"]
    lines += [
        f"    {', '.join(repr(need) for need in order[i : i + 12])},\n".replace("'", '"')
        for i in range(0, len(order), 12)
    ]
    lines += [")\n", "KNOWN = {\n"]
    lines += [f"    {text!r}: {sum(bit[need] for need in all_of_it):#x},\n" for text, all_of_it in needed.items()]
    path.write_text("".join([*lines, "}\n"]), encoding="utf-8")


if __name__ == "__main__":
    main()
