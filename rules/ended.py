"""What ends a leftover without water or a solution of the table: which words name it, and what it ends."""

from __future__ import annotations

import re
from typing import NamedTuple


class Ender(NamedTuple):
    """What ends leftovers of some kinds (``kind`` of their row) and some rows, by the words that name it."""

    words: re.Pattern[str]
    kinds: frozenset[str]
    residues: frozenset[str] = frozenset()


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.I)


ENDERS = (
    Ender(
        _words(r"(?:di)?methyl sul(?:f|ph)ide|Me2S|thioethers?|(?:tri)?\w*phosph(?:ine|ite)s?|PPh3|Ph3P|PBu3"),
        frozenset({"oxidant", "Mitsunobu reagent"}),
    ),
    Ender(
        _words(r"urea|sul(?:f|ph)amic acid|amidosul(?:f|ph)(?:on|ur)ic acid"),
        frozenset({"diazonium"}),
        frozenset({"nitrite"}),
    ),
    Ender(
        _words(
            r"(?:meta)?(?:bi)?sul(?:f|ph)ites?|hydrogen sul(?:f|ph)ite|thiosul(?:f|ph)ate|ascorb\w+|Na2SO3|NaHSO3|Na2S2O[35]"
        ),
        frozenset({"oxidant", "element"}),
    ),
    Ender(_words(r"hypophosphorous acid|H3PO2"), frozenset({"diazonium"})),
    Ender(_words(r"sul(?:f|ph)ur|air"), frozenset({"phosphine", "metal carbonyl"})),
    Ender(_words(r"(?:stream of )?(?:nitrogen|argon)"), frozenset({"gas"}), frozenset({"ozone", "diazomethane"})),
)


# What is ended stands before these, how it is done behind a colon.
_WITH, _HOW = re.compile(r"\b(?:with|by|using|mit|via)\b", re.I), re.compile(r":\s")


def enders(words: str) -> list[Ender]:
    """Return those that the words of a quench name as what it is done with, not as what it ends."""
    agent = _HOW.split(_WITH.split(words, maxsplit=1)[-1], maxsplit=1)[0]
    return [ender for ender in ENDERS if ender.words.search(agent)]
