"""Plans whose texts are nearly the same, so that one look serves many. Similarity of wording, and nothing more."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable
from functools import cache
from importlib.util import find_spec
from typing import Any

# Distinct texts that are compared; beyond this the tables of the comparison would outgrow the rest of a review.
MOST_COMPARED = 20_000
COMPARED_CHARACTERS = 3_000
# How like whole texts are (0 to 100) that make a pair.
ALIKE = 90.0
# So many are compared each with each, which takes less time than loading what sketches them.
FEW = 500
# Bands and rows of the sketch: texts with half of their shingles in common become candidates.
SHINGLE, PERMUTATIONS, CANDIDATES = 6, 64, 40
BANDS = (16, 4)


def leaders(texts: Iterable[tuple[str, str, str]]) -> tuple[dict[str, str], str]:
    """Return for each digest that of the text it is nearly the same as (its own if none), and why nothing was compared.

    ``texts`` are (digest, mixture, text). Each text is compared, by edit distance, with those that lead a group so far; where
    they are many, with those of them that MinHash finds, so that the work grows with the number of texts and not with its square.
    """
    if find_spec("datasketch") is None or find_spec("rapidfuzz") is None:
        return {}, "near-identical plans were not looked for: pip install 'washlore[class]' adds what that needs"
    found: dict[str, str] = {}
    known: dict[str, _Leaders] = {}
    for count, (digest, mixture, text) in enumerate(texts, start=1):
        if count > MOST_COMPARED:
            return {}, f"near-identical plans were not looked for: more than {MOST_COMPARED:,} distinct texts"
        plain = re.sub(r"\s+", " ", text[:COMPARED_CHARACTERS].casefold()).strip()
        found[digest] = known.setdefault(mixture, _Leaders()).like(digest, plain)
    return found, ""


class _Leaders:
    """The texts of one mixture that lead a group."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}
        self._index: Any = None

    def like(self, digest: str, text: str) -> str:
        """Return the digest of the leader that a text reads like; one that reads like none becomes a leader."""
        from rapidfuzz import fuzz, process

        sketch = _sketch(text) if len(self.texts) >= FEW else None
        near = self.texts
        if sketch is not None:
            near = {other: self.texts[other] for other in sorted(self._index_of().query(sketch))[:CANDIDATES]}
        alike = process.extract(text, near, scorer=fuzz.ratio, score_cutoff=ALIKE, limit=None)
        if alike:
            return str(max((score, other) for _, score, other in alike)[1])
        if self._index is not None:
            self._index.insert(digest, sketch, check_duplication=False)
        self.texts[digest] = text
        return digest

    def _index_of(self) -> Any:
        if self._index is None:
            from datasketch import MinHashLSH

            self._index = MinHashLSH(num_perm=PERMUTATIONS, params=BANDS)
            for digest, text in self.texts.items():
                self._index.insert(digest, _sketch(text), check_duplication=False)
        return self._index


@cache
def _blank() -> Any:
    from datasketch import MinHash

    return MinHash(num_perm=PERMUTATIONS, seed=1, hashfunc=zlib.crc32)


def _sketch(text: str) -> Any:
    sketch = _blank().copy()
    data = text.encode()
    sketch.update_batch(sorted({data[i : i + SHINGLE] for i in range(max(1, len(data) - SHINGLE + 1))}))
    return sketch
