"""How a compound divides itself between an organic solvent and water.

The neutral form is described by five solute descriptors of Abraham's solvation model: E (excess refraction), S
(dipolarity), A and B (hydrogen-bond acidity and basicity) and V (McGowan volume). V is exact; the others are sums over
the substructures of ``tables/solute_fragments.csv``. One linear equation per solvent (``tables/solvent_equations.csv``)
turns them into log K. What has been measured comes first: a log K of ``tables/log_k_measured.csv`` is used as it
stands, and a measured octanol log P moves the estimate for every other solvent. ``tables/log_k_corrections.csv`` mends
what one equation is known to get wrong.

``log K`` is log10 of [organic]/[water] at 25 C of the neutral form, mol/L in both layers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import ClassVar

import numpy as np
from rdkit import Chem, rdBase
from rdkit.Chem import rdMolDescriptors

from washlore.knowledge import inorganic
from washlore.knowledge.rows import table
from washlore.knowledge.structure import Molecule, molecules


@dataclass(frozen=True, slots=True)
class SoluteFragment:
    """A substructure (or, where ``smarts`` is empty, a computed term) and what each one adds to E, S, A and B.

    ``needs``: elements without which the substructure cannot occur. ``solutes``: number of solutes with it behind the
    coefficients.
    """

    table: ClassVar[str] = "solute_fragments"
    id: str
    smarts: str
    needs: tuple[str, ...]
    e: float
    s: float
    a: float
    b: float
    solutes: int
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class SolventEquation:
    """Coefficients of log K = c + e E + s S + a A + b B + v V for one solvent against water.

    ``form``: ``wet`` (mutually saturated layers, as in a funnel) or ``dry``. ``sigma``: standard error of the equation
    with measured descriptors. ``sigma_fragments``: standard error with descriptors from fragments.
    ``octanol_slope``: log K to be added per unit of log P (measured minus estimated), and ``sigma_octanol`` the
    standard error that is left then. ``checked``: how the row was tested.
    """

    table: ClassVar[str] = "solvent_equations"
    solvent: str
    form: str
    c: float
    e: float
    s: float
    a: float
    b: float
    v: float
    sigma: float
    sigma_fragments: float
    octanol_slope: float
    sigma_octanol: float
    source: str
    checked: str


@dataclass(frozen=True, slots=True)
class MeasuredLogK:
    """A measured log K of a common compound. ``solvent`` is a key of ``solvent_equations.csv``."""

    table: ClassVar[str] = "log_k_measured"
    id: str
    name: str
    smiles: str
    solvent: str
    log_k: float
    sigma: float
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class OctanolLogP:
    """A measured octanol log P by the first block of the InChIKey, that is by skeleton and formula."""

    table: ClassVar[str] = "log_p_octanol"
    inchikey_block: str
    log_p: float
    source: str


@dataclass(frozen=True, slots=True)
class LogKCorrection:
    """What each fragment adds to the log K of one solvent beyond its equation, from ``values`` measured ones."""

    table: ClassVar[str] = "log_k_corrections"
    id: str
    solvent: str
    fragment: str
    log_k: float
    values: int
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class SaltingOut:
    """How strongly a salt drives neutral compounds out of water, mole for mole, with sodium chloride as 1."""

    table: ClassVar[str] = "salting_out"
    salt: str
    name: str
    relative_to_nacl: float
    benzene_l_mol: float | None
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class LogK:
    """log10([organic]/[water]) of the neutral form at 25 C, its standard error, and where it is from.

    ``tier``: ``measured``, ``measured octanol`` (estimated, corrected by a measured log P), ``fragments`` or
    ``inorganic`` (by kind of solvent); for a permanent ion ``ion pair``. ``source``: key of ``sources.csv``. ``note``:
    what makes the value doubtful, or empty.
    """

    value: float
    sigma: float
    tier: str
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Descriptors:
    """Abraham descriptors of the neutral form; V in (cm3/mol)/100.

    ``log_p``: measured octanol log P or ``None``. ``crippen``: log P by Crippen's atom contributions, an independent
    estimate: the further it is from the fragments, the less either can be trusted. ``note``: what the fragments do
    not cover, or empty.
    """

    E: float
    S: float
    A: float
    B: float
    V: float
    crippen: float
    log_p: float | None
    note: str = ""


# Atomic volumes of Abraham and McGowan, cm3/mol; 6.56 is subtracted for each bond of whatever order.
MCGOWAN_ATOM_ML = {
    1: 8.71, 3: 22.23, 4: 20.27, 5: 18.32, 6: 16.35, 7: 14.39, 8: 12.43, 9: 10.48,
    11: 32.71, 12: 30.75, 13: 28.79, 14: 26.83, 15: 24.87, 16: 22.91, 17: 20.95,
    19: 51.89, 20: 50.28, 21: 48.68, 22: 47.07, 23: 45.47, 24: 43.86, 25: 42.26, 26: 40.65, 27: 39.05, 28: 37.44,
    29: 35.84, 30: 34.23, 31: 32.63, 32: 31.02, 33: 29.42, 34: 27.81, 35: 26.21,
    37: 60.22, 38: 58.61, 39: 57.01, 40: 55.40, 41: 53.80, 42: 52.19, 44: 48.98, 45: 47.38, 46: 45.77, 47: 44.17,
    48: 42.56, 49: 40.96, 50: 39.35, 51: 37.75, 52: 36.14, 53: 34.53,
}  # fmt: skip
MCGOWAN_BOND_ML = 6.56
_HEAVY_METAL_ML = 45.0  # stands in for elements past iodine; such compounds carry a note

# Elements that occur among the solutes behind the fragments.
_COVERED = frozenset({1, 5, 6, 7, 8, 9, 14, 15, 16, 17, 32, 34, 35, 50, 53})

OCTANOL = "1-octanol"
_ALCOHOLS = frozenset({OCTANOL, "1-butanol", "isobutanol"})
_CHLORINATED = frozenset({"dichloromethane", "chloroform", "1,2-dichloroethane"})
_KETONES_ESTERS = frozenset({"2-butanone", "mibk", "ethyl_acetate", "isopropyl_acetate", "n-butyl_acetate"})
_ETHERS = frozenset({"diethyl_ether", "mtbe", "diisopropyl_ether", "2-methf", "cpme"})
_COMPUTED = (
    "constant",
    "volume",
    "refraction",
    "crippen_log_p",
    "donors_beyond_one",
    "donors_beyond_three",
    "acceptors_beyond_one",
    "acceptors_beyond_four",
    "acceptors_square_root",
    "acceptor_crowding",
    "donor_crowding",
    "halogens_beyond_three",
    "zwitterion",
    "log_heavy_atoms",
    "crippen_below_zero",
    "crippen_above_four",
)
_DONOR_GROUPS = (
    "alcohol_primary", "alcohol_secondary", "alcohol_secondary_ring", "alcohol_tertiary", "phenol", "enol",
    "hydroxyl_on_nitrogen", "carboxylic_acid", "primary_amide", "secondary_amide", "aniline_nh2", "aniline_nh",
    "diarylamine", "urea_nh", "urea_nh2", "carbamate_nh", "imide_nh", "pyrrole_nh", "pyridone_nh", "sulfonamide_nh",
    "sulfonamide_nh2", "thioamide_nh",
)  # fmt: skip
_ACCEPTOR_GROUPS = (
    "ester", "ketone", "ketone_aryl", "aldehyde", "ether_chain", "ether_ring", "ether_aryl", "carbamate",
    "carbamate_nh", "urea", "primary_amide", "secondary_amide", "tertiary_amide", "primary_amine", "secondary_amine",
    "tertiary_amine", "pyridine_n", "azole_n", "nitrile", "nitrile_aryl", "nitro_aryl", "nitro_alkyl", "sulfone",
    "sulfoxide", "sulfonamide_n", "sulfonamide_nh", "sulfonamide_nh2", "phosphoryl", "aromatic_carbonyl",
    "alcohol_primary", "alcohol_secondary", "alcohol_secondary_ring", "alcohol_tertiary", "phenol", "carboxylic_acid",
)  # fmt: skip
_BASE_GROUPS = ("primary_amine", "secondary_amine", "tertiary_amine", "guanidine")
_ACID_GROUPS = ("carboxylic_acid", "sulfonic_acid")
_HALOGEN_GROUPS = ("fluoro_alkyl", "chloro_alkyl", "bromo_alkyl")

# Hydrogens that can be given to a hydrogen bond; a molecule without one has A = 0.
_DONOR_SMARTS = (
    "[$([O,S,N,n;!H0]),$([CX2H1]#*),$([CX4;!H0]([F,Cl,Br,I])),$([CX4;!H0][N+](=O)[O-]),$([CX4;!H0]C#N),"
    "$([CX4;!H0]S(=O)=O),$([CX3H1]=O)]"
)


def neutral_form(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with acids protonated and bases free; nitro groups, N-oxides and permanent ions stay."""
    charged = [a.GetIdx() for a in mol.GetAtoms() if a.GetFormalCharge()]
    if not charged:
        return _usual_tautomer(mol)
    edit = Chem.RWMol(mol)
    if any(mol.GetAtomWithIdx(index).GetIsAromatic() for index in charged):
        Chem.Kekulize(edit, clearAromaticFlags=True)
    for index in charged:
        atom = edit.GetAtomWithIdx(index)
        charge = atom.GetFormalCharge()
        if any(n.GetFormalCharge() * charge < 0 for n in atom.GetNeighbors()):
            continue
        hydrogens = atom.GetTotalNumHs()
        if charge > 0 and hydrogens == 0:
            continue
        moved = min(charge, hydrogens) if charge > 0 else charge
        atom.SetFormalCharge(charge - moved)
        atom.SetNoImplicit(True)
        atom.SetNumExplicitHs(hydrogens - moved)
    # Writing and reading clears what the old charges left behind (aromatic flags, explicit hydrogens).
    neutral = _read(edit)
    return _usual_tautomer(mol if neutral is None else neutral)


# Tautomers: what people write, and the form that predominates in water. Atoms: donor, carbon, ..., acceptor last.
_TAUTOMERS = (
    # amide, urea or thioamide written as the imidic acid
    "[OX2H1,SX2H1]-[CX3;!$(C(=N)-[OX2H]-[N])]=[NX2;!$(N-[O,N])]",
    # 2-pyridone and its kin, 2-mercaptobenzazoles; 3-hydroxyisoxazole stays as written
    "[OX2H1,SX2H1]-c:[nX2;!$(n:o)]",
    # 4-pyridone
    "[OX2H1]-c1[c,n][c,n][nX2][c,n][c,n]1",
    # aminoazines written as the imine
    "[nH1]:c=[NX2H1]",
)


def _usual_tautomer(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with imidic acids as amides, hydroxyazines as pyridones and iminoazines as amines."""
    if not any(a.GetAtomicNum() == 7 for a in mol.GetAtoms()):
        return mol
    for smarts in _TAUTOMERS:
        for _ in range(8):
            match = mol.GetSubstructMatch(_query(smarts))
            if not match:
                break
            changed = _shift_hydrogen(mol, match[0], match[1], match[4 if len(match) > 3 else 2])
            if changed is None or changed.GetNumAtoms() != mol.GetNumAtoms():
                break
            mol = changed
    return mol


def _shift_hydrogen(mol: Chem.Mol, donor: int, carbon: int, acceptor: int) -> Chem.Mol | None:
    """Return the tautomer with a hydrogen of ``donor`` on ``acceptor``; ``None`` where none can be drawn."""
    edit = Chem.RWMol(mol)
    for first, second in ((donor, carbon), (carbon, acceptor)):
        bond = edit.GetBondBetweenAtoms(first, second)
        if bond is not None and not bond.GetIsAromatic():
            kinds = {Chem.BondType.SINGLE: Chem.BondType.DOUBLE, Chem.BondType.DOUBLE: Chem.BondType.SINGLE}
            bond.SetBondType(kinds[bond.GetBondType()])
    for index, change in ((donor, -1), (acceptor, 1)):
        atom = edit.GetAtomWithIdx(index)
        hydrogens = atom.GetTotalNumHs() + change
        atom.SetNoImplicit(True)
        atom.SetNumExplicitHs(hydrogens)
    return _read(edit)


def _read(edit: Chem.Mol) -> Chem.Mol | None:
    """Return an edited structure written and read anew, or ``None`` where it is none; RDKit's log is kept quiet."""
    with rdBase.BlockLogs():
        return Chem.MolFromSmiles(Chem.MolToSmiles(edit))


@cache
def _query(smarts: str) -> Chem.Mol:
    return Chem.MolFromSmarts(smarts)


def mcgowan_volume(mol: Chem.Mol) -> float:
    """Return the McGowan volume V in (cm3/mol)/100."""
    hydrogens = sum(a.GetTotalNumHs() for a in mol.GetAtoms())
    atoms = sum(MCGOWAN_ATOM_ML.get(a.GetAtomicNum(), _HEAVY_METAL_ML) for a in mol.GetAtoms())
    bonds = mol.GetNumBonds() + hydrogens
    return (atoms + hydrogens * MCGOWAN_ATOM_ML[1] - MCGOWAN_BOND_ML * bonds) / 100


class _FragmentCounter:
    """Counts the fragments of ``tables/solute_fragments.csv`` in a molecule."""

    def __init__(self, fragments: Mapping[str, SoluteFragment]) -> None:
        self.ids = tuple(fragments)
        periodic = Chem.GetPeriodicTable()
        self._patterns = [
            (i, Chem.MolFromSmarts(f.smarts), frozenset(periodic.GetAtomicNumber(x) for x in f.needs))
            for i, f in enumerate(fragments.values())
            if f.smarts
        ]
        index = {name: i for i, name in enumerate(self.ids)}
        self._computed = [index[name] for name in _COMPUTED]
        self._donors = [index[name] for name in _DONOR_GROUPS]
        self._acceptors = [index[name] for name in _ACCEPTOR_GROUPS]
        self._bases = [index[name] for name in _BASE_GROUPS]
        self._acids = [index[name] for name in _ACID_GROUPS]
        self._halogens = [index[name] for name in _HALOGEN_GROUPS]

    def count(self, mol: Chem.Mol) -> tuple[np.ndarray, float, float]:
        """Return the counts (one per fragment), V and Crippen's log P of a neutral form."""
        counts = np.zeros(len(self.ids))
        elements = {a.GetAtomicNum() for a in mol.GetAtoms()}
        for i, pattern, needs in self._patterns:
            if needs <= elements:
                counts[i] = len(mol.GetSubstructMatches(pattern, maxMatches=500))
        volume = mcgowan_volume(mol)
        crippen, refraction = rdMolDescriptors.CalcCrippenDescriptors(mol)
        heavy = max(1, mol.GetNumHeavyAtoms())
        donors = counts[self._donors].sum()
        acceptors = counts[self._acceptors].sum()
        halogens = counts[self._halogens].sum()
        counts[self._computed] = (
            1.0,
            volume,
            refraction / 10,
            crippen,
            max(0.0, donors - 1),
            max(0.0, donors - 3),
            max(0.0, acceptors - 1),
            max(0.0, acceptors - 4),
            acceptors**0.5,
            acceptors**2 / heavy,
            donors**2 / heavy,
            max(0.0, halogens - 3),
            min(counts[self._bases].sum(), counts[self._acids].sum()),
            math.log(heavy),
            min(0.0, crippen),
            max(0.0, crippen - 4),
        )
        return counts, volume, crippen


@cache
def _counter() -> tuple[_FragmentCounter, np.ndarray, np.ndarray]:
    """Return the counter, the coefficients (fragments, 4) and which fragments are rare (fragments,)."""
    fragments = table(SoluteFragment)
    coefficients = np.array([(f.e, f.s, f.a, f.b) for f in fragments.values()])
    return _FragmentCounter(fragments), coefficients, np.array([f.solutes < RARE_SOLUTES for f in fragments.values()])


@cache
def _equations() -> tuple[tuple[str, ...], np.ndarray]:
    equations = table(SolventEquation)
    return tuple(equations), np.array([(q.c, q.e, q.s, q.a, q.b, q.v) for q in equations.values()])


def _solvents() -> tuple[str, ...]:
    """Read the first column only: the whole table is not needed to know the names."""
    text = resources.files("washlore.knowledge.tables").joinpath("solvent_equations.csv").read_text(encoding="utf-8")
    names = re.findall(r'^(?:"([^"]+)"|([^,"\n]+)),', text, re.MULTILINE)[1:]
    return tuple(quoted or plain for quoted, plain in names)


SOLVENTS: tuple[str, ...] = _solvents()


def _known(solvent: str) -> str:
    if solvent not in SOLVENTS:
        raise ValueError(f"{solvent!r} has no partition equation; solvents with one are {', '.join(SOLVENTS)}.")
    return solvent


def _block(mol: Chem.Mol) -> str:
    """Return the first block of the InChIKey: the skeleton, whatever its stereochemistry or charge layer."""
    with rdBase.BlockLogs():
        return Chem.MolToInchiKey(mol)[:14]


@cache
def measured_log_p() -> Mapping[str, tuple[float, str]]:
    """Return measured octanol log P and its source by first block of the InChIKey.

    ``tables/log_p_octanol.csv`` is an index by structure of the collections that the ``chemicals`` package carries by
    CAS number; joining the two at run time would read 43 MB. Its 4,600 rows (``OctanolLogP``) are split here and not
    by ``rows.table`` because they stand in the way of every first question.
    """
    text = resources.files("washlore.knowledge.tables").joinpath("log_p_octanol.csv").read_text(encoding="utf-8")
    rows = (line.split(",") for line in text.splitlines()[1:])
    return {block: (float(value), source) for block, value, source in rows}


@cache
def _measured() -> Mapping[tuple[str, str], MeasuredLogK]:
    return {(_block(molecules(r.smiles)[0].mol), r.solvent): r for r in table(MeasuredLogK).values()}


# Spread of log K by class, relative to the solvent's own: quantiles of errors on molecules left out of the fit. The
# further Crippen's log P or a measured one lies from the fragments, and the larger the molecule, the wider.
CRIPPEN_GAP_EDGES = (0.5, 1.0, 2.0)
HEAVY_ATOM_EDGES = (15, 22, 30)
RARE_FRAGMENT_EDGES = (1, 2)
LOG_P_GAP_EDGES = (0.2, 0.5, 1.0)
RARE_SOLUTES = 25
_CRIPPEN_GAP_FACTORS = (0.97, 1.01, 1.24, 2.0)  # the last by hand: 80 molecules with an RMSE of 2 in log P
_HEAVY_ATOM_FACTORS = (0.87, 1.14, 1.46, 1.97)
_RARE_FRAGMENT_FACTORS = (0.96, 1.24, 1.75)
_LOG_P_GAP_FACTORS = (0.78, 1.11, 1.43, 2.01)
_HEAVY_ATOM_LOG_P_FACTORS = (0.87, 1.3, 1.94, 3.29)
_ZWITTERION = "amine and acid in one molecule: measured values, and the fragments, are for the zwitterion"
_DISAGREE = "fragments and atom contributions differ by more than 1 in log P"


def _band(value: float, edges: tuple[float, ...], factors: tuple[float, ...]) -> float:
    return factors[sum(value >= edge for edge in edges)]


@dataclass(frozen=True, slots=True)
class _Partition:
    """Everything about one molecule: descriptors and log K in every solvent."""

    descriptors: Descriptors
    log_k: Mapping[str, LogK]


def _judge(mol: Chem.Mol) -> _Partition:
    neutral = neutral_form(mol)
    permanent = Chem.GetFormalCharge(neutral) != 0
    block = "" if permanent else _block(neutral)
    counter, coefficients, uncommon = _counter()
    counts, volume, crippen = counter.count(neutral)
    e, s, a, b = (float(x) for x in counts @ coefficients)
    a = max(0.0, a) if neutral.HasSubstructMatch(_query(_DONOR_SMARTS)) else 0.0
    b = max(0.0, b)
    zwitterion = counts[counter.ids.index("zwitterion")] > 0
    strange = sorted({x.GetSymbol() for x in neutral.GetAtoms() if x.GetAtomicNum() not in _COVERED})
    note = f"no solute with {', '.join(strange)} stands behind the fragments" if strange else ""
    if zwitterion and not note:
        note = _ZWITTERION
    octanol_row = _measured().get((block, OCTANOL))
    log_p, log_p_source = measured_log_p().get(block, (None, ""))
    if octanol_row is not None:
        log_p, log_p_source = octanol_row.log_k, octanol_row.source
    descriptors = Descriptors(e, s, a, b, volume, crippen, log_p, note)
    row = inorganic.by_form().get(Chem.MolToSmiles(mol)) or inorganic.by_form().get(Chem.MolToSmiles(neutral))
    if row is not None:
        return _Partition(descriptors, {name: _tabled(row, block, name) for name in SOLVENTS})
    if permanent:
        return _Partition(descriptors, {name: _permanent(neutral, name) for name in SOLVENTS})
    if 6 not in {x.GetAtomicNum() for x in neutral.GetAtoms()} and neutral.HasSubstructMatch(
        _query("[N,O,F,Cl,Br,I;!H0]")
    ):
        return _Partition(descriptors, {name: _inorganic(block, name) for name in SOLVENTS})

    names, matrix = _equations()
    raw = dict(zip(names, (float(x) for x in matrix @ np.array([1.0, e, s, a, b, volume])), strict=True))
    octanol = raw[OCTANOL]
    for correction in table(LogKCorrection).values():
        raw[correction.solvent] += correction.log_k * counts[counter.ids.index(correction.fragment)]
    heavy = neutral.GetNumHeavyAtoms()
    apart = abs(octanol - crippen)
    far = 0.0 if log_p is None else abs(log_p - octanol)
    by_fragments = _band(apart, CRIPPEN_GAP_EDGES, _CRIPPEN_GAP_FACTORS)
    by_fragments *= _band(heavy, HEAVY_ATOM_EDGES, _HEAVY_ATOM_FACTORS) * (2.0 if strange else 1.0)
    by_fragments *= _band(int(np.count_nonzero(counts[uncommon])), RARE_FRAGMENT_EDGES, _RARE_FRAGMENT_FACTORS)
    by_octanol = _band(far, LOG_P_GAP_EDGES, _LOG_P_GAP_FACTORS)
    by_octanol *= _band(heavy, HEAVY_ATOM_EDGES, _HEAVY_ATOM_LOG_P_FACTORS)
    result: dict[str, LogK] = {}
    for name, equation in table(SolventEquation).items():
        row = _measured().get((block, name))
        if row is not None:
            result[name] = LogK(row.log_k, row.sigma, "measured", row.source, note)
        elif name == OCTANOL and log_p is not None:
            result[name] = LogK(log_p, 0.2, "measured", log_p_source, note)
        elif log_p is not None:
            value = raw[name] + equation.octanol_slope * (log_p - octanol)
            sigma = math.hypot(equation.sigma_octanol * by_octanol, equation.sigma)
            result[name] = LogK(value, sigma, "measured octanol", log_p_source, note)
        else:
            text = "; ".join(x for x in (note, _DISAGREE if apart > 1 else "") if x)
            sigma = math.hypot(equation.sigma_fragments * by_fragments, equation.sigma)
            result[name] = LogK(raw[name], sigma, "fragments", "fragment_fit", text)
    return _Partition(descriptors, result)


def _tabled(row: inorganic.Inorganic, block: str, solvent: str) -> LogK:
    """Return log K of a compound of ``inorganic.csv``: measured, else by kind of solvent."""
    measured = _measured().get((block, solvent))
    if measured is not None:
        return LogK(measured.log_k, measured.sigma, "measured", measured.source)
    if solvent in _ALCOHOLS:
        value = row.log_k_alcohols if row.log_k_alcohols is not None else row.log_k_donors
    elif solvent in _KETONES_ESTERS | _ETHERS:
        value = row.log_k_donors
    else:
        value = row.log_k_chlorinated if solvent in _CHLORINATED else row.log_k_hydrocarbons
    if value is None or row.sigma is None:
        return LogK(-6.0, 0.5, "inorganic", row.source, f"{row.name} stays in the water")
    return LogK(value, row.sigma, "inorganic", row.source, row.note)


def _inorganic(block: str, solvent: str) -> LogK:
    """Return log K of a carbon-free hydrogen compound (mineral acid, hydrazine): measured, or a guess that it stays."""
    row = _measured().get((block, solvent))
    if row is not None:
        return LogK(row.log_k, row.sigma, "measured", row.source)
    value = -3.0 if solvent in _ALCOHOLS | _KETONES_ESTERS | _ETHERS else -4.5
    return LogK(value, 1.5, "fragments", "from_memory", "inorganic: stays in water; the fragments do not cover it")


@lru_cache(maxsize=4_000)
def _partition(smiles: str) -> _Partition:
    return _judge(molecules(smiles)[0].mol)


def descriptors(molecule: Molecule) -> Descriptors:
    """Return the Abraham descriptors of the neutral form of ``molecule``."""
    return _partition(molecule.smiles).descriptors


def molecule_log_k(molecule: Molecule, solvent: str) -> LogK:
    """Return log K of the neutral form of ``molecule`` between ``solvent`` and water.

    An ion that cannot be neutralised (quaternary ammonium, phosphonium) is judged by ``permanent_ion_log_k``. Raises
    ``ValueError`` for a solvent without an equation.
    """
    return _partition(molecule.smiles).log_k[_known(solvent)]


def log_k(smiles: str, solvent: str) -> LogK:
    """Return log K of the neutral form of the largest part of ``smiles`` between ``solvent`` and water.

    Raises ``ValueError`` for a solvent without an equation and ``StructureError`` for what is not a structure.
    """
    return molecule_log_k(molecules(smiles)[0], solvent)


def mixed_log_k(molecule: Molecule, mixture: Mapping[str, float]) -> LogK:
    """Return log K into a mixture of solvents, log-linear in the volume fractions (which are normalised).

    Mixtures are seldom measured: the standard error is that of the parts, widened by 0.3 times the spread of their
    values. Raises ``ValueError`` for an empty mixture, a negative fraction or an unknown solvent.
    """
    total = sum(mixture.values())
    if not mixture or total <= 0 or min(mixture.values()) < 0:
        raise ValueError(f"{dict(mixture)!r} is no mixture; give solvents with volume fractions, e.g. hexane 0.5.")
    parts = [(fraction / total, molecule_log_k(molecule, name)) for name, fraction in mixture.items()]
    value = sum(f * k.value for f, k in parts)
    sigma = sum(f * k.sigma for f, k in parts)
    spread = sum(f * (k.value - value) ** 2 for f, k in parts) ** 0.5
    order = ("measured", "measured octanol", "inorganic", "fragments", "ion pair")
    weakest = max((k for f, k in parts if f > 0), key=lambda k: order.index(k.tier))
    return LogK(value, (sigma**2 + (0.3 * spread) ** 2) ** 0.5, weakest.tier, weakest.source, weakest.note)


def ion_pair_shift(molecule: Molecule, solvent: str, charge: int) -> tuple[float, float]:
    """Return (log K of the ion pair minus log K of the neutral form, its standard error).

    ``charge`` is the ion's: negative for a carboxylate or phenolate with sodium, positive for an ammonium with chloride.
    In octanol both lie 3.6 +/- 0.6 below the neutral form (sodium salts, measured). Elsewhere little has been measured
    and a wide prior of +/- 1 stands, from memory: the worse the solvent holds ions the lower, as acid and base take
    greasy amines and acids out of ether and hydrocarbons whole, while amine hydrochlorides linger in chlorinated
    solvents. Each further charge counts as much again. Raises ``ValueError`` for an unknown solvent.
    """
    _known(solvent)
    if solvent in _ALCOHOLS:
        shift, sigma = -3.6, 0.6
    elif solvent in _CHLORINATED:
        shift, sigma = (-6.5, 1.0) if charge < 0 else (-5.0, 1.0)
    elif solvent in _KETONES_ESTERS:
        shift, sigma = (-6.3, 1.0) if charge < 0 else (-5.8, 1.0)
    elif solvent in _ETHERS:
        shift, sigma = (-6.8, 1.0) if charge < 0 else (-6.5, 1.0)
    else:
        shift, sigma = (-8.0, 1.0) if charge < 0 else (-7.5, 1.0)
    return shift * abs(charge), sigma * abs(charge) ** 0.5


def _isostere_log_p(mol: Chem.Mol) -> float:
    """Return log P by the fragments of the neutral molecule with carbon in place of each charged atom."""
    edit = Chem.RWMol(mol)
    for atom in edit.GetAtoms():
        charge = atom.GetFormalCharge()
        if charge and not any(n.GetFormalCharge() * charge < 0 for n in atom.GetNeighbors()):
            atom.SetFormalCharge(0)
            atom.SetAtomicNum(6)
    isostere = _read(edit)
    if isostere is None or Chem.GetFormalCharge(isostere) != 0:
        return 0.0
    counter, coefficients, _ = _counter()
    counts, volume, _ = counter.count(isostere)
    e, s, a, b = counts @ coefficients
    octanol = table(SolventEquation)[OCTANOL]
    return float(
        octanol.c
        + octanol.e * e
        + octanol.s * s
        + octanol.a * max(0.0, a)
        + octanol.b * max(0.0, b)
        + octanol.v * volume
    )


def permanent_ion_log_k(molecule: Molecule, solvent: str) -> LogK:
    """Return log K of a permanent cation with its halide as an ion pair: a wide prior, not a measurement.

    The prior is a line through a few quaternary ammonium halides in octanol, 0.75 log P(carbon isostere) - 6.3, lowered
    in solvents that carry ions less well. Raises ``ValueError`` for an unknown solvent.
    """
    _known(solvent)
    return _permanent(neutral_form(molecule.mol), solvent)


def _permanent(mol: Chem.Mol, solvent: str) -> LogK:
    charge = max(1, abs(Chem.GetFormalCharge(mol)))
    octanol = 0.75 * _isostere_log_p(mol) - 6.3 - 2.0 * (charge - 1)
    drop, sigma = 2.5, 1.5
    note = "ion pair; a wide estimate"
    if solvent in _ALCOHOLS:
        drop, sigma = 0.0, 1.0
    elif solvent in _CHLORINATED:
        drop, sigma = (-0.5, 1.5) if octanol > -3 else (0.0, 1.5)
        if octanol > -3:
            note = (
                "ion pair; lipophilic onium salts go into chlorinated solvents, the more so with bromide, iodide or "
                "a large anion and at high concentration"
            )
    elif solvent in _KETONES_ESTERS:
        drop = 1.5
    return LogK(octanol - drop, sigma, "ion pair", "from_memory", note)


def setschenow(molecule: Molecule, log_p: float, salt: str = "NaCl") -> float:
    """Return the salting-out constant ks in L/mol: log K in salt water = log K + ks c(salt).

    For sodium chloride ks = 0.040 log P + 0.114 (Ni and Yalkowsky, Int. J. Pharm. 2003); other salts are scaled by
    ``tables/salting_out.csv``. Ions are not salted out. Raises ``ValueError`` for a salt without a row.
    """
    salts = table(SaltingOut)
    if salt not in salts:
        raise ValueError(f"{salt!r} has no salting-out constant; salts with one are {', '.join(salts)}.")
    if Chem.GetFormalCharge(neutral_form(molecule.mol)) != 0:
        return 0.0
    sodium_chloride = max(0.0, 0.040 * log_p + 0.114)
    return sodium_chloride * salts[salt].relative_to_nacl
