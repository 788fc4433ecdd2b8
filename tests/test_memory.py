"""Long use: what is remembered of molecules is bounded, however many go by.

Counted are the entries of the caches, not the memory of the process, which depends on the machine. Memory by itself:
``python tests/test_memory.py 6000`` prints it as the molecules go by.
"""

from __future__ import annotations

import functools
import gc
import sys
from collections.abc import Iterator
from itertools import islice, product

from washlore.knowledge import acidity, groups, kinetics, names, partition
from washlore.knowledge.structure import molecules
from washlore.rules.phase import cosolvency, salting_constant
from washlore.rules.species import Species, log_k_numbers, permanent_charge

MOST_ENTRIES = 2_000
FIRST, THEN = 1_100, 100


def smiles() -> Iterator[str]:
    """Yield molecules that differ in formula or in place."""
    heads = ("", "O", "N", "OC(=O)", "NC(=O)", "COC(=O)", "O=C", "N#C", "F", "Cl", "CS", "CO")
    tails = ("", "O", "N", "C(=O)O", "C(=O)N", "C#N", "F", "Cl", "SC", "OC", "N(C)C", "C(C)(C)C")
    for length, head, tail, place in product(range(3, 12), heads, tails, (0, 1, 2, 3)):
        middle = "c1ccc(cc1)" if place == 1 else "c1cccc(c1)" if place == 2 else "C1CCC(CC1)" if place == 3 else ""
        yield f"{head}{'C' * length}{middle}{tail}"


def look_at(text: str) -> None:
    """Ask for everything that is remembered of a molecule."""
    part = molecules(text)[0]
    sites = acidity.molecule_sites(part)
    groups.molecule_groups(part)
    groups.all_residues((part,))
    kinetics.rates(part)
    names.display_name(part.smiles)
    partition.descriptors(part)
    log_k_numbers(Species("c1", part, permanent_charge(part), sites, None), (("dichloromethane", 1.0),))
    salting_constant(part.smiles)
    cosolvency(part.smiles)


def caches() -> dict[str, functools._lru_cache_wrapper]:
    found = (x for x in gc.get_objects() if isinstance(x, functools._lru_cache_wrapper))
    return {f"{x.__module__}.{x.__name__}": x for x in found if (x.__module__ or "").startswith("washlore.")}


def test_what_is_remembered_of_molecules_is_bounded():
    texts = smiles()
    for text in islice(texts, FIRST):
        look_at(text)
    before = {name: cache.cache_info().currsize for name, cache in caches().items()}
    for text in islice(texts, THEN):
        look_at(text)
    after = {name: cache.cache_info() for name, cache in caches().items()}
    grown = {name: info for name, info in after.items() if info.currsize > before.get(name, 0)}
    assert {name for name, info in grown.items() if info.maxsize is None or info.maxsize > MOST_ENTRIES} == set()
    assert max(info.currsize for info in after.values()) <= MOST_ENTRIES
    assert sum(info.currsize >= 1_000 for info in after.values()) >= 8  # the molecules did go by


def main() -> None:
    """Print the memory in use (MB) as molecules go by."""
    import resource

    for n, text in enumerate(islice(smiles(), int(sys.argv[1]))):
        look_at(text)
        if n % 500 == 0:
            print(n, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, flush=True)


if __name__ == "__main__":
    main()
