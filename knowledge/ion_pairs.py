"""Ions in an organic layer: they go there as pairs with a counter-ion, and little of it has been measured.

Two priors, both wide. An acid or base that water ionises: log K of its pair lies a fixed step below that of the neutral
form, by kind of solvent (``tables/ion_pairs.csv``). A permanent ion: a line in the log P of its carbon isostere, by kind
of solvent, anchored at tetrabutylammonium. What the counter-ion adds (``tables/counter_ions.csv``) is counted against
chloride; the more water holds on to an anion, the less it takes along.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import ClassVar

from rdkit import Chem

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, table
from washlore.knowledge.solute import neutral_form, query, read_anew
from washlore.knowledge.structure import Molecule, canonical_smiles

SOLVENT_KINDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "alcohols": frozenset(("1-octanol", "1-butanol", "isobutanol")),
        "chlorinated": frozenset(("dichloromethane", "chloroform", "1,2-dichloroethane")),
        "esters and ketones": frozenset(
            ("2-butanone", "mibk", "ethyl_acetate", "isopropyl_acetate", "n-butyl_acetate")
        ),
        "ethers": frozenset(("diethyl_ether", "mtbe", "diisopropyl_ether", "2-methf", "cpme")),
    }
)
OTHER_SOLVENTS = "hydrocarbons"


def solvent_kind(solvent: str) -> str:
    """Return the kind of a solvent, a key of ``SOLVENT_KINDS``; what is in none of them counts as a hydrocarbon."""
    return next((kind for kind, solvents in SOLVENT_KINDS.items() if solvent in solvents), OTHER_SOLVENTS)


@dataclass(frozen=True)
class IonPair(Row):
    """Ion pairs by kind of solvent.

    ``cation_shift`` and ``anion_shift``: log K of the pair less log K of the neutral form, for an ammonium with chloride
    and for an acid's anion with sodium. ``permanent_drop``: what log K of tetrabutylammonium chloride lies below octanol;
    ``permanent_slope``: what a unit of the isostere's log P adds for another permanent cation. ``counter_share``: how
    much of what a counter-ion adds between water and chloroform shows here. Each with its standard error.
    """

    table: ClassVar[str] = "ion_pairs"
    solvents: str
    cation_shift: float
    cation_sigma: float
    anion_shift: float
    anion_sigma: float
    permanent_drop: float
    permanent_slope: float
    permanent_sigma: float
    counter_share: float
    source: str
    note: str


@dataclass(frozen=True)
class CounterIon(Row):
    """An anion that goes along with a cation: what it adds to log K of the pair in chloroform, chloride being 0.

    ``forms``: the SMILES of the anion and of its acid.
    """

    table: ClassVar[str] = "counter_ions"
    id: str
    name: str
    forms: tuple[str, ...]
    log_k: float
    sigma: float
    source: str
    note: str


@dataclass(frozen=True)
class Pair:
    """log K of an ion pair, its standard error, and what makes it doubtful, or empty."""

    log_k: float
    sigma: float
    note: str


CHLORIDE = "chloride"
# Tetrabutylammonium bromide: log P of its carbon isostere by the fragments, and its own in octanol (recalled).
ANCHOR_ISOSTERE, ANCHOR_BROMIDE, FURTHER_CHARGE = 8.9, 0.4, 2.0
# An aryl group on phosphorus spreads the charge and hides it: tetraphenylphosphonium goes where tetrabutylammonium goes.
ARYL_ON_ONIUM = 0.4
# So does a ring that the charge is part of: 1-butyl-3-methylimidazolium chloride has log P -2.4 (recalled, Ropel 2005),
# cetylpyridinium 1.8, and the line without it gives -4.4 and 1.0.
RING_OF_ONIUM = 1.2
LIPOPHILIC = -3.0


@cache
def _by_smiles() -> Mapping[str, CounterIon]:
    return MappingProxyType({canonical_smiles(form): row for row in table(CounterIon).values() for form in row.forms})


def counter_ion(smiles: Iterable[str]) -> str:
    """Return the key of the anion among the parts of a salt (canonical SMILES), chloride where it is not in the table.

    Anions that water holds on to more than to chloride (fluoride, sulfate, acetate) are not in it: the chloride of brine
    and of other washes takes their place.
    """
    found = [_by_smiles()[text] for text in smiles if text in _by_smiles()]
    return max(found, key=lambda row: row.log_k).id if found else CHLORIDE


def _counted(row: IonPair, counter: str) -> tuple[float, float]:
    anion = table(CounterIon)[counter]
    return row.counter_share * anion.log_k, row.counter_share * anion.sigma


def ion_pair_shift(molecule: Molecule, solvent: str, charge: int, counter: str = CHLORIDE) -> tuple[float, float]:
    """Return (log K of the ion pair minus log K of the neutral form, its standard error).

    ``charge`` is the ion's: negative for a carboxylate or phenolate with sodium, positive for an ammonium with the anion
    ``counter`` (a key of ``counter_ions.csv``). Each further charge counts as much again. Raises ``ValueError`` for an
    unknown solvent.
    """
    row = table(IonPair)[solvent_kind(_known(solvent))]
    if charge < 0:
        return row.anion_shift * -charge, row.anion_sigma * (-charge) ** 0.5
    added, unsure = _counted(row, counter)
    shift, sigma = row.cation_shift + added, (row.cation_sigma**2 + unsure**2) ** 0.5
    return shift * charge, sigma * charge**0.5


def permanent_ion_log_k(molecule: Molecule, solvent: str, counter: str = CHLORIDE) -> Pair:
    """Return log K of a permanent cation with the anion ``counter``: a wide prior, not a measurement.

    Raises ``ValueError`` for an unknown solvent.
    """
    _known(solvent)
    return permanent_pair(neutral_form(molecule.mol), solvent, counter)


def permanent_pair(mol: Chem.Mol, solvent: str, counter: str = CHLORIDE) -> Pair:
    """Return log K of a permanent ion given as a structure; see ``permanent_ion_log_k``."""
    charge = max(1, abs(Chem.GetFormalCharge(mol)))
    aryl = len(mol.GetSubstructMatches(query("[P+,S+,I+,N+;!a]-c")))
    row = table(IonPair)[solvent_kind(solvent)]
    added, unsure = _counted(row, counter)
    anchor = ANCHOR_BROMIDE - _counted(table(IonPair)["alcohols"], "bromide")[0] - row.permanent_drop
    value = anchor + row.permanent_slope * (_isostere_log_p(mol) - ANCHOR_ISOSTERE) + added
    value += ARYL_ON_ONIUM * aryl - FURTHER_CHARGE * (charge - 1)
    value += RING_OF_ONIUM * mol.HasSubstructMatch(query("[n+;H0]"))
    note = "ion pair; a wide estimate"
    if row.solvents == "chlorinated" and value > LIPOPHILIC:
        note = (
            "ion pair; lipophilic onium salts go into chlorinated solvents, the more so with bromide, iodide or "
            "a large anion and at high concentration"
        )
    return Pair(value, (row.permanent_sigma**2 + unsure**2) ** 0.5, note)


def _isostere_log_p(mol: Chem.Mol) -> float:
    """Return log P by the fragments of the neutral molecule with carbon in place of each charged atom."""
    from washlore.knowledge.partition import fragment_log_p

    edit = Chem.RWMol(mol)
    for atom in edit.GetAtoms():
        charge = atom.GetFormalCharge()
        if charge and not any(n.GetFormalCharge() * charge < 0 for n in atom.GetNeighbors()):
            atom.SetFormalCharge(0)
            atom.SetAtomicNum(6)
    isostere = read_anew(edit)
    if isostere is None or Chem.GetFormalCharge(isostere) != 0:
        return 0.0
    return fragment_log_p(isostere)


def _known(solvent: str) -> str:
    from washlore.knowledge.partition import known_solvent

    return known_solvent(solvent)
