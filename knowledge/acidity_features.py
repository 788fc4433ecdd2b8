"""What the pKa model sees of an ionisable site: counts by distance, Hammett sums by ring position, plain flags.

A feature is a named number; ``pka_coefficients.csv`` holds what each one is worth in pKa units. Names read as
``<what>@<bonds from the site>`` for counts and ``<position>_<what>`` for sums over an aromatic ring.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from rdkit import Chem

from washlore.knowledge.rows import table
from washlore.knowledge.substituents import Substituent
from washlore.knowledge.surroundings import Surroundings

FARTHEST_BONDS = 6
FADE_PER_BOND = 0.5
PULL_PER_BOND = 0.45
# Pull on electrons through single bonds, fluorine as 1: the order of Taft's constants, rounded.
PULL = {
    "fluorine": 1.0, "chlorine": 0.9, "bromine": 0.85, "iodine": 0.75, "nitro": 1.5, "cyano": 1.6, "cation": 2.6,
    "sulfonyl": 1.3, "sulfinyl": 1.0, "acyl": 0.7, "ester": 0.7, "amide": 0.55, "carboxyl": 0.7, "carboxylate": -0.1,
    "anion": -0.4, "hydroxy": 0.55, "ether": 0.6, "aryloxy": 0.8, "furan_o": 0.6, "ester_o": 0.8, "amide_n": 0.55,
    "amine": 0.35, "arylamine": 0.4, "azine": 0.6, "azole": 0.5, "imine_n": 0.5, "sulfide": 0.45, "thiophene_s": 0.4,
    "arene": 0.12, "ring_oxo": 0.5, "alkene": 0.15, "alkyne": 0.4, "imino": 0.3, "n_oxide": 1.2, "phosphorus": 0.6,
    "phosphine": 0.1,
}  # fmt: skip


Charged = Mapping[int, str]
"""Atoms ionised at the pH in question: index to ``gained`` or ``lost``."""


def features(around: Surroundings, site: int, frame: str, charged: Charged) -> dict[str, float]:
    """Return the features of the site by name. ``frame``: chain, aryl, both, ring or azole (see ``pka_classes``)."""
    found: dict[str, float] = {}
    if frame == "chain":
        _count_chain(around, site, charged, found)
    elif frame == "ring":
        _count_ring(around, site, -1, charged, found)
        _count_far(around, site, charged, found)
    elif frame == "azole":
        _count_ring(around, site, -1, charged, found)
        _count_chain(around, site, charged, found)
    elif frame == "azinone":
        start, path = _azinone_carbon(around, site)
        _count_ring(around, start, path, charged, found, tautomeric=True)
        _count_far(around, start, charged, found)
    else:
        bearers, path = _bearers(around, site)
        for bearer in bearers:
            _count_ring(around, bearer, path, charged, found)
        found["rings_on_site"] = len(bearers)
        chain: dict[str, float] = {}
        _count_chain(around, site, charged, chain)
        if frame == "both":
            found |= chain
        else:
            _count_far(around, bearers[0] if bearers else site, charged, found)
            # Within two bonds only what is not the ring itself: substituents on the site's own atom.
            for name, value in chain.items():
                if (name.endswith(("@1", "@2")) and not name.startswith(("arene", "azine"))) or "@" not in name:
                    found[f"own_{name}"] = value
    return {k: v for k, v in found.items() if v}


def _bearers(around: Surroundings, site: int) -> tuple[list[int], int]:
    """Return the aromatic atoms that carry the site (directly or over one atom), and the atom between."""
    near = [n for n in around.neighbours[site] if around.aromatic[n]]
    if near:
        return near, site
    for middle in around.neighbours[site]:
        far = [n for n in around.neighbours[middle] if around.aromatic[n]]
        if far:
            return far, middle
    for middle in around.neighbours[site]:
        for next_one in around.neighbours[middle]:
            far = [n for n in around.neighbours[next_one] if around.aromatic[n]]
            if far and next_one != site:
                return far, next_one
    return [], site


def _azinone_carbon(around: Surroundings, site: int) -> tuple[int, int]:
    """Return the ring carbon and the oxygen of a pyridone or hydroxypyridine, whichever tautomer is written."""
    if not around.aromatic[site]:
        return around.neighbours[site][0], site
    best = (9.0, site, site)
    for ring in around.aromatic_rings:
        if site not in ring:
            continue
        for carbon in ring:
            for n in around.neighbours[carbon]:
                if n not in ring and around.atoms[n].GetAtomicNum() in (8, 16) and around.atoms[n].GetDegree() == 1:
                    best = min(best, (around.bonds_apart[site][carbon], carbon, n))
    return best[1], best[2]


def _add(found: dict[str, float], name: str, value: float = 1.0) -> None:
    found[name] = found.get(name, 0.0) + value


def _charged_kind(around: Surroundings, atom: int, charged: Charged) -> str:
    state = charged.get(atom)
    if state == "gained":
        return "cation"
    if state == "lost":
        neighbours = around.neighbours[atom]
        if any(around.kind(n) == "carboxyl" for n in neighbours):
            return ""
        return "anion"
    kind = around.kind(atom)
    if kind == "carboxyl" and any(charged.get(n) == "lost" for n in around.neighbours[atom]):
        return "carboxylate"
    return kind


def _count_chain(around: Surroundings, site: int, charged: Charged, found: dict[str, float]) -> None:
    apart = around.bonds_apart[site]
    for other in range(len(around.atoms)):
        distance = apart[other]
        if distance == 0 or distance > 1000:
            continue
        kind = _charged_kind(around, other, charged)
        if not kind:
            continue
        if kind in PULL:
            _add(found, "pull", PULL[kind] * PULL_PER_BOND ** (distance - 2))
        if distance <= FARTHEST_BONDS:
            if kind != "alkyl" or distance <= 4:
                _add(found, f"{kind}@{distance}")
        elif kind not in ("alkyl", "arene"):
            _add(found, f"{kind}@far", FADE_PER_BOND ** (distance - FARTHEST_BONDS))
    if "pull" in found:
        found["pull_squared"] = found["pull"] ** 2
    atom = around.atoms[site]
    for ring in around.rings:
        if site in ring:
            _add(found, f"ring_of_{min(len(ring), 8)}")
        elif any(n in ring for n in around.neighbours[site]) and len(ring) == 3:
            _add(found, "next_to_ring_of_3")
    in_rings = sum(site in r for r in around.rings)
    if in_rings >= 2:
        _add(found, "bridgehead")
    hydrogens = atom.GetTotalNumHs()
    if atom.GetAtomicNum() in (6, 7):
        _add(found, f"hydrogens_{hydrogens}")
    _count_hydrogen_bonds(around, site, found)
    if atom.GetAtomicNum() == 7 and any(bonds == 4 and _peri(around, site, n) for n, bonds in enumerate(apart)):
        _add(found, "peri_amine")
    for n in around.neighbours[site]:
        if around.atoms[n].GetDegree() >= 4:
            _add(found, "crowded")
        elif around.atoms[n].GetDegree() == 3 and not around.aromatic[n] and around.kind(n) == "alkyl":
            _add(found, "branched")


def _count_hydrogen_bonds(around: Surroundings, site: int, found: dict[str, float]) -> None:
    """Note a partner that closes a six-membered ring (with the hydrogen) over an aromatic C-C bond."""
    apart = around.bonds_apart[site]
    for bearer in around.neighbours[site]:
        for second in around.neighbours[bearer]:
            if not (around.aromatic[second] or around.aromatic[bearer]) or second == site:
                continue
            for third in around.neighbours[second]:
                if apart[third] != 3:
                    continue
                if around.aromatic[bearer] and around.aromatic[second]:
                    for partner in around.neighbours[third]:
                        if apart[partner] != 4 or partner == second:
                            continue
                        name = _PARTNERS.get(around.kind(partner))
                        if around.atoms[partner].GetAtomicNum() == 8 and around.kind(partner) == "":
                            name = "oxo"
                        if name and not (
                            around.aromatic[third] and any(third in r and bearer in r for r in around.rings)
                        ):
                            _add(found, f"bonded_{name}")
                elif around.aromatic[second] and around.aromatic[third] and around.atoms[site].GetAtomicNum() == 7:
                    for partner in around.neighbours[third]:
                        if apart[partner] == 4 and around.kind(partner) == "hydroxy":
                            _add(found, "bonded_phenol")


_PARTNERS = {
    "amine": "amine",
    "azine": "azine",
    "imine_n": "azine",
    "hydroxy": "hydroxy",
}


def _peri(around: Surroundings, site: int, other: int) -> bool:
    """Return whether two amine nitrogens face each other across a naphthalene's peri positions."""
    if around.kind(other) != "arylamine":
        return False
    path = Chem.GetShortestPath(around.mol, site, other)
    inner = path[1:-1]
    return len(inner) == 3 and all(around.aromatic[i] for i in inner) and sum(inner[1] in r for r in around.rings) == 2


def _count_far(around: Surroundings, start: int, charged: Charged, found: dict[str, float]) -> None:
    """Add up what stands outside the ring of ``start``, fading with distance."""
    own = {i for r in around.aromatic_rings if start in r for i in r}
    apart = around.bonds_apart[start]
    for other in range(len(around.atoms)):
        if other in own or apart[other] < 3 or apart[other] > 1000:
            continue
        kind = _charged_kind(around, other, charged)
        if kind and kind not in ("alkyl", "arene"):
            _add(found, f"far_{kind}", FADE_PER_BOND ** (apart[other] - 3))
            _add(
                found,
                "far_pull",
                PULL.get(kind, 0.0) * FADE_PER_BOND ** (apart[other] - 3),
            )


def _count_ring(
    around: Surroundings,
    start: int,
    path: int,
    charged: Charged,
    found: dict[str, float],
    tautomeric: bool = False,
) -> None:
    """Sum Hammett constants by position around the aromatic ring of ``start``; ``path`` is the atom that leads out.

    ``tautomeric``: NH and N, and OH and =O, count alike.
    """
    rings = [r for r in around.aromatic_rings if start in r]
    if not rings:
        return
    rings.sort(key=lambda r: (len(r) != 6, sum(around.atoms[i].GetAtomicNum() == 6 for i in r)))
    ring = rings[0]
    size = len(ring)
    first = ring.index(start)
    if len(rings) > 1:
        _add(found, "in_two_rings")
    if size == 5:
        _add(found, "five_ring")
    own = set(ring)
    place = {ring[(first + step) % size]: ("i" + "omp")[min(step, size - step)] for step in range(size)}
    for other in around.aromatic_rings:
        shared = sorted(place[i] for i in other if i in place)
        if len(shared) == 2:
            _add(found, f"fused_{''.join(shared)}")
    ortho_groups = []
    for step in range(1, size):
        index = ring[(first + step) % size]
        position = "omp"[min(step, size - step) - 1]
        atom = around.atoms[index]
        number = atom.GetAtomicNum()
        if number != 6:
            label = {7: "aza", 8: "oxa", 16: "thia"}.get(number, "hetero")
            if not tautomeric and number == 7 and (atom.GetTotalNumHs() or atom.GetDegree() == 3):
                label = "aza_h" if not charged.get(index) else label
            if charged.get(index) == "gained" or (number == 7 and atom.GetFormalCharge() > 0):
                label = "azonia"
            _add(found, f"{position}_{label}")
        for n in around.neighbours[index]:
            if n in own or n == path:
                continue
            if any(index in r and n in r for r in around.aromatic_rings):
                continue
            group = around.group(n)
            state = charged.get(n)
            if state == "gained":
                group = "ammonio"
            elif state == "lost":
                group = {"hydroxy": "oxido", "mercapto": "thiolate"}.get(group, group)
            elif group == "carboxyl" and any(charged.get(i) == "lost" for i in around.neighbours[n]):
                group = "carboxylate"
            elif group == "heteroalkyl" and any(charged.get(i) == "gained" for i in around.neighbours[n]):
                group = "ammonioalkyl"
            if tautomeric:
                group = {"hydroxy": "oxo", "mercapto": "thioxo"}.get(group, group)
            row = table(Substituent)[group]
            if position == "o":
                ortho_groups.append(row.ortho_group)
                _add(found, "o_sigma", row.sigma_para)
                _add(found, "o_minus_extra", row.sigma_minus - row.sigma_para)
                _add(found, "o_field", row.field)
                _add(found, f"o_{row.ortho_group}")
                _add(found, "o_any")
            elif position == "m":
                _add(found, "m_sigma", row.sigma_meta)
                _add(found, "m_any")
                _add(found, f"m_{row.ortho_group}")
            else:
                _add(found, "p_sigma", row.sigma_para)
                _add(found, "p_minus_extra", row.sigma_minus - row.sigma_para)
                _add(found, "p_plus_extra", row.sigma_plus - row.sigma_para)
                _add(found, f"p_{row.ortho_group}")
            if number == 6 and group in _DONORS:
                _add(found, f"{position}_donor_pull", _pull_beyond(around, n, index))
    if len(ortho_groups) >= 2:
        _add(found, "o_both")
    _count_fused(around, start, own, path, charged, found)


_DONORS = {"amino", "alkylamino", "dialkylamino", "alkoxy", "aryloxy", "alkylthio", "hydrazino"}


def _pull_beyond(around: Surroundings, atom: int, before: int) -> float:
    """Return the pull on ``atom`` of what it carries, the side of ``before`` left out."""
    total = 0.0
    seen, layer, distance = {atom, before}, [atom], 0
    while layer and distance < 4:
        layer = [n for a in layer for n in around.neighbours[a] if n not in seen]
        seen.update(layer)
        distance += 1
        total += sum(PULL.get(around.kind(n), 0.0) for n in layer) * PULL_PER_BOND ** (distance - 1)
    return total


def _count_fused(
    around: Surroundings, start: int, own: set[int], path: int, charged: Charged, found: dict[str, float]
) -> None:
    """Sum Hammett constants over the rings fused to that of ``start``: by whether resonance reaches the position.

    In an alternant system it does at an odd number of bonds.
    """
    system = set(own)
    grown = True
    while grown:
        grown = False
        for ring in around.aromatic_rings:
            if len(system.intersection(ring)) >= 2 and not system.issuperset(ring):
                system.update(ring)
                grown = True
    for index in system - own:
        reached = "fused_conjugated" if around.bonds_apart[start][index] % 2 else "fused_crossed"
        if around.atoms[index].GetAtomicNum() == 7:
            _add(found, f"{reached}_{'azonia' if charged.get(index) == 'gained' else 'aza'}")
        for n in around.neighbours[index]:
            if n in system or n == path:
                continue
            group = around.group(n)
            if charged.get(n) == "gained":
                group = "ammonio"
            elif charged.get(n) == "lost":
                group = {"hydroxy": "oxido", "mercapto": "thiolate"}.get(group, group)
            row = table(Substituent)[group]
            if reached == "fused_crossed":
                _add(found, "fused_crossed_sigma", row.sigma_meta)
            else:
                _add(found, "fused_conjugated_sigma", row.sigma_para)
                _add(found, "fused_conjugated_minus_extra", row.sigma_minus - row.sigma_para)
                _add(found, "fused_conjugated_plus_extra", row.sigma_plus - row.sigma_para)


def statistical(around: Surroundings, site: int) -> float:
    """Return log10 of the number of sites like this one by symmetry."""
    return math.log10(around.equivalent[site])
