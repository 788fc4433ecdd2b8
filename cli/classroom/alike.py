"""Plans whose texts are nearly the same, so that one look serves many. Similarity of wording, and nothing more."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable
from importlib.util import find_spec
from typing import Any

# Distinct texts that are compared; beyond this the tables of the comparison would outgrow the rest of a review.
MOST_COMPARED = 20_000
COMPARED_CHARACTERS = 3_000
SHINGLE, PERMUTATIONS, CANDIDATES = 6, 64, 40
# Bands and rows of the sketch: texts with half of their shingles in common become candidates. Then the likeness of the
# whole texts (0 to 100) that makes a pair.
BANDS, ALIKE = (16, 4), 90.0


def leaders(texts: Iterable[tuple[str, str, str]]) -> tuple[dict[str, str], str]:
    """Return for each digest that of the text it is nearly the same as (its own if none), and why nothing was compared.

    ``texts`` are (digest, mixture, text). Each text is compared with those that lead a group so far, found by MinHash and
    settled by edit distance, so that the work grows with the number of texts and not with its square.
    """
    if find_spec("datasketch") is None or find_spec("rapidfuzz") is None:
        return {}, "near-identical plans were not looked for: pip install 'washlore[class]' adds what that needs"
    from datasketch import MinHash, MinHashLSH
    from rapidfuzz import fuzz

    found: dict[str, str] = {}
    known: dict[str, str] = {}
    indexes: dict[str, Any] = {}
    blank = MinHash(num_perm=PERMUTATIONS, seed=1, hashfunc=zlib.crc32)
    for count, (digest, mixture, text) in enumerate(texts, start=1):
        if count > MOST_COMPARED:
            return {}, f"near-identical plans were not looked for: more than {MOST_COMPARED:,} distinct texts"
        plain = re.sub(r"\s+", " ", text[:COMPARED_CHARACTERS].casefold()).strip()
        if mixture not in indexes:
            indexes[mixture] = MinHashLSH(num_perm=PERMUTATIONS, params=BANDS)
        index = indexes[mixture]
        sketch = _sketch(plain, blank)
        near = sorted(index.query(sketch))[:CANDIDATES]
        best = max(near, key=lambda other: (fuzz.ratio(plain, known[other]), other), default=None)
        if best is not None and fuzz.ratio(plain, known[best]) >= ALIKE:
            found[digest] = best
            continue
        found[digest] = digest
        known[digest] = plain
        index.insert(digest, sketch, check_duplication=False)
    return found, ""


def _sketch(text: str, blank: Any) -> Any:
    sketch = blank.copy()
    data = text.encode()
    sketch.update_batch(sorted({data[i : i + SHINGLE] for i in range(max(1, len(data) - SHINGLE + 1))}))
    return sketch
