"""From a mixture to observed facts: what the structures and tables say, before any rule has a word."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from washlore.knowledge import acidity, groups, kinetics
from washlore.knowledge.boiling import estimated_boiling_c
from washlore.knowledge.inorganic import by_form, insoluble
from washlore.knowledge.names import boiling_c
from washlore.knowledge.records import dataclass, field, replace
from washlore.knowledge.rows import Group, Residue, Solution, table
from washlore.knowledge.scope import ligated, stays_behind, unplaced
from washlore.knowledge.solute import query
from washlore.knowledge.structure import molecules
from washlore.rules import facts as f
from washlore.rules.mixture import Component, Mixture, is_organic
from washlore.rules.species import (
    HYDRONS,
    INORGANIC_SIGMA,
    exchanged,
    inorganic_base,
    inorganic_sites,
    miscible_solvent,
    permanent_charge,
    solvents_by_smiles,
    stays_in_water,
)
from washlore.rules.suppose import left_out, sites_of
from washlore.rules.words import amount, label

# A hydrocarbon of no more carbons is a gas: what an organometallic becomes and nobody finds in the flask afterwards; its
# row tells of the gas.
GASEOUS_CARBONS = 4
# Where a component comes from that a complex of a platinum metal sets free.
LIGAND = "complex"
# Sites outside this range neither ionise nor matter in any wash.
WEAKEST_ACID_PKA = 11.5
WEAKEST_BASE_PKA = 0.0
# A product is looked at for its volatility only where it may go with the solvent.
MAY_BE_LOST_C = 150.0
MINERAL_ACIDS = frozenset(
    (
        "Cl",
        "Br",
        "I",
        "O=S(=O)(O)O",
        "O=P(O)(O)O",
        "O=P(O)(O)OP(=O)(O)O",
        "O=[N+]([O-])O",
        "F",
        "O=S(=O)(O)Cl",
        "[O-][Cl+3]([O-])([O-])O",
        "O=Cl(=O)(=O)O",
        "O=[N+]=O",  # nitronium, which is nitric acid in the first water
    )
)
# Rows of metals as such, the rows of their salts and complexes, and kinds of leftover that a component is before any of these.
# Bases that leave the hydroxide of their metal, whatever takes it up then: an acid of the flask, ammonium chloride, a wash.
LEAVE_ALKALI = frozenset({"alkoxide", "silylamide_base", "sodium_amide", "lithium_amide", "organolithium"})
METAL_ITSELF = ("palladium_carbon", "zinc_iron_dust")
SALTS_OF = {
    "palladium": {"Pd", "Pt"},
    "ruthenium": {"Ru", "Rh", "Ir"},
    "nickel": {"Ni", "Co"},
    "copper": {"Cu"},
    "iron_salt": {"Fe"},
    "manganese_salt": {"Mn"},
    "chromium_iii": {"Cr", "V", "Mo", "W"},
    "zinc_halide": {"Zn"},
    "aluminium_salt": {"Al"},
}
LEADS = ("cyanide source", "azide source")
# Leftovers that are quenched only where they are the bulk of the flask.
DANGEROUS_NEAT = ("sulfuric_acid_conc", "nitric_acid")
MOST_DILUTE_EQUIV = 3.0
# Sulfuric acid of two fifths, which water no longer heats much.
MOST_DILUTE_M = 5.0
# A base that a quench leaves behind and that is worth a wash of its own.
BASE_PKA = 4.0
# Of an acid poured onto ice this much is still in the organic layer's drops.
LEFT_BY_ICE = 0.05
HARSH = {
    **dict.fromkeys(("Cl", "Br", "I", "O=S(=O)(O)O", "O=P(O)(O)O", "O=P(O)(O)OP(=O)(O)O"), "a strong mineral acid"),
    **dict.fromkeys(("O=[N+]([O-])O", "O=[N+]=O"), "nitric acid"),
    **dict.fromkeys(("[O-][Cl+3]([O-])([O-])O", "O=Cl(=O)(=O)O"), "perchloric acid"),
    "OO": "hydrogen peroxide",
    **dict.fromkeys(("NO", "[NH3+]O"), "hydroxylamine"),
    "[OH-]": "a strong base",
}
# Boiling points of the straight-chain alkanes C1 to C8, near which other hydrocarbons boil (CRC Handbook).
ALKANE_BOILING_C = (-161.5, -88.6, -42.1, -0.5, 36.1, 68.7, 98.4, 125.6)


@dataclass
class Job:
    """A mixture being thought through: what rules may ask about beyond the facts.

    ``wet``: water has met it before, as when a scheme has shared its layers out. ``soured``: the water of its quenches is
    made acidic later on. ``ended``: what in the flask ends leftovers of a residue row if it is only given time, by the id of
    the row.
    """

    mixture: Mixture
    quenched: dict[str, tuple[str, ...]] = field(default_factory=dict)
    residues: dict[str, tuple[Residue, ...]] = field(default_factory=dict)
    wet: bool = False
    soured: bool = False
    ended: dict[str, str] = field(default_factory=dict)

    def name(self, component_id: str) -> str:
        """Return the name of a component."""
        return self.mixture.component(component_id).name


def prepare(mixture: Mixture) -> Job:
    """Return the job for a mixture: miscible solvents become components, quenched leftovers bring what they become."""
    others: list[Component] = []
    quenched: dict[str, tuple[str, ...]] = {}
    residues: dict[str, tuple[Residue, ...]] = {}
    ended: dict[str, str] = {}
    known = {c.smiles for c in mixture.components}
    more: dict[str, float] = {}  # what quenches add to listed components, by SMILES
    born_as: dict[str, int] = {}  # where in ``others`` that stands which came out of another, by SMILES

    def bring(child: Component) -> str:
        """Add what came out of a component, to what another one brought of it; return its id."""
        place = born_as.get(child.smiles)
        if place is None:
            born_as[child.smiles] = len(others)
            others.append(child)
            _note_residue(child, residues)
            return child.id
        others[place] = replace(others[place], mmol=others[place].mmol + child.mmol)
        return others[place].id

    for component in mixture.others:
        others.append(component)
        rows = [row for row, _ in groups.all_residues(component.parts)]
        if rows and rows[0].id in METAL_ITSELF and any(is_organic(p) for p in component.parts):
            rows = [table(Residue)[_dissolved(component)]]  # a complex, not metal on carbon or its powder
        if len(rows) > 1 and rows[0].action != "quench":
            rows.sort(key=lambda row: not (row.acid_frees and row.kind in LEADS))  # zinc cyanide is a cyanide first
        if rows and rows[0].id == "silver_salt" and any(p.smiles in FALLS_WITH_SILVER for p in component.parts):
            rows = [table(Residue)["silver_oxidant"]]
        if not rows and insoluble(p.smiles for p in component.parts):
            rows = [table(Residue)["insoluble_oxide"]]
        dilute = bool(rows) and rows[0].id in DANGEROUS_NEAT and _is_dilute(mixture, component)
        if dilute:
            rows = [*(replace(r, action="wash") for r in rows[:1] if r.id == "nitric_acid"), *rows[1:]]
        sour = bool(rows) and rows[0].quench_with.startswith("acetic acid") and _holds_poison(mixture, component)
        dry = sour and bool(rows[0].instead_with)
        if rows and (
            (sour and not dry) or _has_no_quench(rows[0], mixture.product) or _is_rinsed_off(rows[0], mixture)
        ):
            rows = [replace(rows[0], action="other")]
        if rows:
            residues[component.id] = tuple(rows[:1])
        if ligated(component.parts):
            for number, (smiles, count) in enumerate(_ligands(component).items(), start=1):
                if smiles not in known:
                    child = _derived(f"{component.id}{'abcdefgh'[number - 1]}", smiles, component, LIGAND)
                    bring(replace(child, mmol=count * component.mmol))
        if not rows or rows[0].action != "quench":
            continue
        born = []
        # Where the product would take up the amine of a quench, plain water is used and leaves only salts.
        plain = "amine" in rows[0].quench_with and (_minds_amine(mixture.product) or takes_no_acid(mixture.product))
        ender = pot_ender(mixture, rows[0], component)
        if ender:
            ended[rows[0].id] = ender
        plain = plain or dry or _goes_another_way(rows[0], mixture.product)
        made = [*([] if plain or ender else _becomes(rows[0], component)), *_untouched(rows[0], component)]
        if rows[0].id in LEAVE_ALKALI or wants_alkali(rows[0], mixture.product):
            made += _becomes(replace(rows[0], becomes=groups.HYDROXIDE), component)
        for number, smiles in enumerate(dict.fromkeys(made), start=1):
            if smiles in known and "[OH-]" in smiles:
                more[smiles] = more.get(smiles, 0.0) + component.mmol  # alkali that is listed already
            if _is_gas(smiles) or (smiles in known and smiles != component.smiles):
                continue
            # The water of the ice is parted, or made basic with all of its acid where that holds the product.
            left = 1.0 if _acid_holds(mixture.product) else LEFT_BY_ICE
            born.append(bring(_derived(f"{component.id}{'abcdefgh'[number - 1]}", smiles, component, left_by_ice=left)))
        quenched[component.id] = tuple(born)
    others = [replace(c, mmol=c.mmol + more[c.smiles]) if c.smiles in more else c for c in others]
    for number, (solvent, volume_ml) in enumerate(mixture.reaction_solvents, start=1):
        if solvent.log_k_key or solvent.id == "water":
            continue
        part = molecules(solvent.smiles)[0]
        listed = next((i for i, c in enumerate(others) if c.smiles == part.smiles), None)
        mmol = volume_ml * solvent.density_g_ml * 1000 / part.molar_mass
        if listed is not None:
            others[listed] = replace(others[listed], mmol=others[listed].mmol + mmol, role="solvent")
            continue
        others.append(
            Component(
                f"s{number}",
                solvent.name,
                solvent.name,
                "solvent table",
                part.smiles,
                "solvent",
                mmol,
                False,
                (part,),
                solvent.boiling_c,
            )
        )
    return Job(replace(mixture, others=tuple(others)), quenched, residues, ended=ended)


def _dissolved(component: Component) -> str:
    """Return the row of the salts of a metal that is drawn as the element beside its ligands."""
    symbols = {a.GetSymbol() for part in component.parts for a in part.mol.GetAtoms()}
    return next((row for row, metals in SALTS_OF.items() if symbols & metals), "lanthanide_salt")


def _has_no_quench(row: Residue, product: Component) -> bool:
    """Tell whether what ends a leftover would attack the product, and only evaporation or a column is left."""
    if row.action != "quench" or not row.instead_how or row.instead or row.instead_with:
        return False
    if "methanol" in row.quench_with and falls_in_acid(row, product):
        return True
    return any(match.group.id in row.spares for part in product.parts for match in groups.molecule_groups(part))


# What is poured in stays some minutes; of a product in one phase with acid no more than this may fall.
POURED_MIN, MOST_BROKEN, STRONG_ACID_PH = 15.0, 0.1, 2.0


def falls_in_acid(row: Residue, product: Component) -> bool:
    """Tell whether the acid that a leftover is quenched with would break a product that is in one phase with it, by its rate."""
    solution = table(Solution).get(row.solution)
    if solution is None or solution.ph > STRONG_ACID_PH:
        return False
    loss = kinetics.loss_fraction(product.principal, solution.ph, POURED_MIN)
    return loss is not None and loss.mid >= MOST_BROKEN


def wants_alkali(row: Residue, product: Component) -> bool:
    """Tell whether a base is better ended with plain water than with ammonium chloride.

    The alkali keeps an amine free, and holds an acid in the water while the neutrals are rinsed away.
    """
    if row.solution != "nh4cl_sat" or row.instead != "water":
        return False
    if any(
        m.group.highest_ph is not None and m.group.highest_ph < LYE_PH
        for m in groups.molecule_groups(product.principal)
    ):
        return False
    sites = sites_of(product.principal)
    acid = any(s.kind == "acid" and s.pka < ALKALI_HOLDS_WELL_PKA for s in sites)
    base = any(s.kind == "base" and s.pka > AMMONIUM_TAKES_PKA for s in sites)
    return acid != base


# Ammonium chloride leaves an acid of the first pKa half its salt and makes one of a base above the second.
ALKALI_HOLDS_WELL_PKA, AMMONIUM_TAKES_PKA = 9.0, 7.5
# Lye of a quench breaks what stands no more than this.
LYE_PH = 12.0


def takes_no_acid(product: Component) -> bool:
    """Tell whether acid would take the product as well, so that no basic remains of a quench could be washed out of it."""
    return any(s.kind == "base" and s.pka > NO_ACID_ABOVE_PKA for s in sites_of(product.principal))


def _goes_another_way(row: Residue, product: Component) -> bool:
    """Tell whether a product makes what nothing is added to end of a leftover: nitrogen blows it out."""
    spared = any(m.group.id in row.spares for part in product.parts for m in groups.molecule_groups(part))
    return spared and row.quench_with.startswith("acetic acid") and bool(row.instead_with)


def _holds_poison(mixture: Mixture, component: Component) -> bool:
    """Tell whether another leftover is one that acetic acid would turn into a poison gas."""
    return any(
        row.frees_below_ph > ACETIC_PH
        for other in mixture.others
        if other.id != component.id
        for row, _ in groups.all_residues(other.parts)
    )


# Acetic acid that is added in drops brings water to about this.
ACETIC_PH = 4.0


def pot_ender(mixture: Mixture, row: Residue, component: Component) -> str:
    """Return in words what in the flask ends an acylating or sulfonylating leftover if it is given time, or an empty text.

    An amine that is free for it, twice as much as is left; hydroxide in water.
    """
    if row.kind not in ("acylating agent", "sulfonylating agent") or row.solution:
        return ""
    rest = [c for c in mixture.others if c.id != component.id]
    for other in rest:
        free = any(p.mol.HasSubstructMatch(query(FREE_AMINE)) for p in other.parts) and len(other.parts) == 1
        if free and other.mmol >= 2 * component.mmol:
            return f"the {other.name} in the flask"
    watery = any(s.id == "water" for s, _ in mixture.reaction_solvents)
    alkali = sum(c.mmol for c in rest if any(p.smiles == "[OH-]" for p in c.parts))
    return "the hydroxide in the flask" if watery and alkali >= 3 * component.mmol else ""


# An amine with N-H that no pair of branches shields.
FREE_AMINE = "[$([NX3H2][CX4]),$([NX3H1]([CH2,CH3])[CH2,CH3]);!$(N[C,S,P]=[O,N,S])]"


def _acid_holds(product: Component) -> bool:
    """Tell whether strong acid keeps a product in the water as its salt."""
    return any(s.kind == "base" and s.pka > STRONG_ACID_HOLDS_PKA for s in sites_of(product.principal))


def _is_rinsed_off(row: Residue, mixture: Mixture) -> bool:
    """Tell whether an acylating leftover is rinsed out of the alkaline water that holds an acid product as its salt."""
    smiles = {part.smiles for c in mixture.others for part in c.parts}
    return (
        row.quench_with.startswith(SCAVENGER)
        and any(s.id == "water" for s, _ in mixture.reaction_solvents)
        and not smiles.isdisjoint(ALKALI)
        and any(s.kind == "acid" and s.pka < ALKALI_HOLDS_BELOW_PKA for s in sites_of(mixture.product.principal))
    )


# Acids weaker than the first are not held for sure by carbonate; above the second a base leaves with citric acid.
ALKALI_HOLDS_BELOW_PKA, NO_ACID_ABOVE_PKA = 6.0, 4.0
STRONG_ACID_HOLDS_PKA = 2.0
ALKALI = ("[OH-]", "O=C([O-])[O-]", "O=C([O-])O")
SCAVENGER = "N,N-dimethylethylenediamine"


def _is_gas(smiles: str) -> bool:
    mol = molecules(smiles)[0].mol
    return mol.GetNumAtoms() <= GASEOUS_CARBONS and all(a.GetAtomicNum() == 6 for a in mol.GetAtoms())


def _note_residue(child: Component, residues: dict[str, tuple[Residue, ...]]) -> None:
    """Note what a compound that came out of another is: no longer quenched, but it may be a solid to filter off."""
    left = [row for row, _ in groups.all_residues(child.parts) if row.action != "quench"]
    if left:
        residues[child.id] = tuple(left[:1])


def _minds_amine(product: Component) -> bool:
    return any(
        not {"amine", "ammonia"}.isdisjoint(m.group.avoid)
        for part in product.parts
        for m in groups.molecule_groups(part)
    )


def _is_dilute(mixture: Mixture, component: Component) -> bool:
    """Tell whether a component is a catalyst or the like in a solvent, or has met water, and is not the medium itself."""
    water_ml = mixture.water_ml
    few = bool(mixture.reaction_solvents) and component.mmol <= MOST_DILUTE_EQUIV * mixture.product.mmol
    return few or component.mmol < MOST_DILUTE_M * water_ml


def _becomes(row: Residue, component: Component) -> list[str]:
    found: list[str] = []
    for part in component.parts:
        found += [s for s in groups.becomes(row, part) if s]
    return list(dict.fromkeys(".".join(p.smiles for p in molecules(s)) for s in found))


def _ligands(component: Component) -> dict[str, int]:
    """Return the neutral organic ligands of a complex, and how many of each it sets free as it falls apart."""
    ligands = [p.smiles for p in component.parts if is_organic(p) and not p.charge]
    return dict(Counter(ligands)) if len(component.parts) > len(ligands) else {}


def _untouched(row: Residue, component: Component) -> list[str]:
    """Return the organic bases of a reagent that is a salt or complex, which its quench leaves behind.

    Pyridine of pyridinium chlorochromate and of HF-pyridine, for one.
    """
    reacts = {part.smiles for part in component.parts if groups.becomes(row, part) or groups.hit_by(row, part)}
    left = [part for part in component.parts if is_organic(part) and part.smiles not in reacts]
    free = [groups.freed_base(part.smiles) for part in left]
    return [
        smiles
        for smiles in free
        if any(
            s.kind == "base" and s.pka > BASE_PKA for part in molecules(smiles) for s in acidity.molecule_sites(part)
        )
    ]


def _derived(
    component_id: str, smiles: str, parent: Component, origin: str = "quench", left_by_ice: float = LEFT_BY_ICE
) -> Component:
    from washlore.knowledge.names import display_name, resolve

    parts = molecules(smiles)
    boiling_c = resolve(smiles).boiling_c
    name = display_name(smiles) or f"{parts[0].formula} from the {origin} of {parent.name}"
    if name == parent.name:
        name = f"dilute {name}"
    mmol = parent.mmol * (left_by_ice if smiles == parent.smiles else _halogens(parent, smiles))
    return Component(component_id, name, name, origin, smiles, "by-product", mmol, parent.assumed, parts, boiling_c)


def _halogens(parent: Component, halide: str) -> int:
    """Return how many molecules of a hydrogen halide water makes of a reagent; 1 of anything else."""
    if halide not in ("Cl", "Br", "I", "F"):
        return 1
    atoms = [a for part in parent.parts for a in part.mol.GetAtoms() if a.GetSymbol() == halide]
    return max(1, sum(not _on_carbon(a) for a in atoms))


def _on_carbon(halogen: Any) -> bool:
    """Tell whether a halogen is held by a carbon that water leaves alone; an acyl carbon is none."""
    return any(n.GetSymbol() == "C" and not _is_acyl(n) for n in halogen.GetNeighbors())


def _is_acyl(carbon: Any) -> bool:
    return any(b.GetBondTypeAsDouble() == 2 and b.GetOtherAtom(carbon).GetSymbol() == "O" for b in carbon.GetBonds())


def observe(engine: Any, job: Job) -> None:
    """Declare the observed facts of a job in the engine."""
    engine.job = job
    gone = set(job.quenched)
    for component in job.mixture.components:
        _observe_component(engine, job, component, component.id in gone)
    for solvent, volume in job.mixture.reaction_solvents:
        engine.observe(
            f.Medium(
                solvent=solvent.id,
                miscibility=solvent.miscibility,
                boiling_c=solvent.boiling_c,
                volume_ml=volume,
                extractant=solvent.extractant,
            ),
            f"the reaction ran in {volume:.0f} mL of {solvent.name} ({solvent.beside_water}"
            f"boils at {solvent.boiling_c:.0f} C)",
            (solvent.source,),
        )
    for row in bottles(job):
        engine.observe(
            f.Bottle(solution=row.id, ph=row.ph, acts_as=row.acts_as, harshness=row.harshness, general=row.general),
            f"{label(row)} has pH {row.ph:g}",
            (row.source,),
        )


# With these silver is a solid, and no water dissolves it.
FALLS_WITH_SILVER = ("O=C([O-])[O-]", "[Cl-]", "[Br-]", "[I-]", "[S-2]", "O=P([O-])([O-])[O-]", "O=[Cr](=O)([O-])[O-]")
SPECIAL = ("brine", "licl_5", "cuso4_sat")
AMMINE_METALS = ("copper", "nickel", "zinc_halide")


def bottles(job: Job) -> Iterator[Solution]:
    """Yield the solutions under consideration: the general ones and those that a leftover asks for."""
    rows = table(Solution)
    wanted = {s for found in job.residues.values() for r in found for s in (r.solution, r.instead) if s} | set(SPECIAL)
    if any(r.id in AMMINE_METALS for found in job.residues.values() for r in found):
        wanted.add("ammonia_10")  # for a basic product, which ammonium chloride would take
    for key, row in rows.items():
        if key in wanted or row.general:
            yield row


def _observe_component(engine: Any, job: Job, component: Component, quenched: bool) -> None:
    name = component.name
    engine.observe(
        f.Component(id=component.id, role=component.role, mmol=component.mmol),
        f"{name} ({component.smiles}), {component.role}, {amount(component.mmol)}"
        + (" assumed" if component.assumed else ""),
    )
    organic = [p for p in component.parts if is_organic(p) and p not in exchanged(component)]
    neutral = stays_behind(component.parts)
    if neutral:
        organic = []  # no ion, however it is drawn
    if why := unplaced(component.parts):
        engine.observe(f.Unplaced(component=component.id), f"{name} {why}")
    if not organic and not neutral and all(map(stays_in_water, component.parts)):
        engine.observe(f.Inorganic(component=component.id), f"{name} has no organic part and is made of ions")
    if any(p.smiles in MINERAL_ACIDS or p.smiles in HYDRONS for p in component.parts) and not organic:
        engine.observe(
            f.Ionises(component=component.id, kind="acid", pka=-2.0, sigma=1.0, atom=0, site_class="mineral_acid"),
            f"{name} is a mineral acid, wholly ionised in water",
            ("crc",),
        )
    elif not organic and not neutral and not job.residues.get(component.id):
        _observe_inorganic_acid(engine, component)
    base = inorganic_base(component)
    if base is not None:
        pka = base.pkas[0]
        engine.observe(
            f.Ionises(component=component.id, kind="base", pka=pka, sigma=INORGANIC_SIGMA, atom=0, site_class=base.id),
            f"{name} is {base.name}, pKa of the conjugate acid {pka:.1f}",
            (base.source,),
        )
    kind = next((HARSH[p.smiles] for p in component.parts if p.smiles in HARSH), None)
    if kind is not None and not organic and not _taken_up(job, component):
        engine.observe(f.Harsh(component=component.id, kind=kind), f"{name} is {kind}", ("prudent",))
    for kind in ("acid", "base"):
        sites = [(s, p) for p in organic for s in sites_of(p) if s.kind == kind and _matters(s)]
        if sites:
            site, part = min(sites, key=lambda sp: sp[0].pka if kind == "acid" else -sp[0].pka)
            element = part.mol.GetAtomWithIdx(site.atom).GetSymbol()
            what = acidity.class_name(site.site_class)
            engine.observe(
                f.Ionises(
                    component=component.id,
                    kind=kind,
                    pka=round(site.pka, 2),
                    sigma=round(site.sigma, 2),
                    atom=site.atom,
                    site_class=site.site_class,
                ),
                f"{name}: {what} at atom {site.atom} ({element}) of {part.smiles}, "
                f"pKa {'' if kind == 'acid' else 'of the conjugate acid '}{site.pka:.1f} ± {site.sigma:.1f} ({site.tier})",
                (site.source,),
            )
    for part in organic:
        charge = permanent_charge(part)
        if charge:
            engine.observe(
                f.Charged(component=component.id, charge=charge),
                f"{name}: {part.smiles} carries a charge of {charge:+d} that no proton transfer takes away",
            )
        seen: dict[str, tuple[int, ...]] = {}
        for match in groups.molecule_groups(part):
            if component.role != "product" or not left_out(match.group.id):
                seen.setdefault(match.group.id, match.atoms)
        for group_id, atoms in seen.items():
            group = table(Group)[group_id]
            known_id = engine.observe(
                f.Contains(component=component.id, group=group_id),
                f"{name}: {group.name} at atoms {', '.join(map(str, atoms))} of {part.smiles}",
                (group.source,),
            )
            if component.role == "product":
                _observe_limits(engine, name, group, known_id)
    if not quenched:
        _observe_escape(engine, component)
    for row in job.residues.get(component.id, ()):
        engine.observe(
            f.Leftover(component=component.id, residue=row.id, action=row.action, solution=row.solution, kind=row.kind),
            f"{name} is {row.name}",
            (row.source,),
        )


def _observe_inorganic_acid(engine: Any, component: Component) -> None:
    """Declare the first proton of an inorganic acid that no table of leftovers knows: phosphorous, sulfamic, boric acid."""
    for part in component.parts:
        row = by_form().get(part.smiles)
        sites = inorganic_sites(row) if row is not None else sites_of(part)
        acids = [s for s in sites if s.kind == "acid" and s.tier == "measured" and _matters(s)]
        if not acids or part.charge or stays_in_water(part) or not any(a.GetTotalNumHs() for a in part.mol.GetAtoms()):
            continue
        site = min(acids, key=lambda s: s.pka)
        engine.observe(
            f.Ionises(
                component=component.id,
                kind="acid",
                pka=site.pka,
                sigma=site.sigma,
                atom=site.atom,
                site_class=site.site_class,
            ),
            f"{component.name} is an acid, pKa {site.pka:.1f}",
            (site.source,),
        )
        return


def _matters(site: acidity.Site) -> bool:
    if site.kind == "acid":
        return site.pka <= WEAKEST_ACID_PKA
    return site.pka >= WEAKEST_BASE_PKA


def _observe_limits(engine: Any, name: str, group: Group, known_id: int) -> None:
    for side, ph in (("low", group.lowest_ph), ("high", group.highest_ph)):
        if ph is not None:
            word = "down to" if side == "low" else "up to"
            engine.observe(
                f.Stands(side=side, ph=ph, group=group.id),
                f"{name}: its {group.name} stands a wash {word} pH {ph:g} ({group.limit_reason})",
                (group.source,),
                (known_id,),
            )
    for tag in group.avoid:
        engine.observe(
            f.SpoiltBy(tag=tag, group=group.id),
            f"{name}: its {group.name} is spoilt by {tag} ({group.limit_reason or group.note})",
            (group.source,),
            (known_id,),
        )


def _observe_escape(engine: Any, component: Component) -> None:
    """Declare where a component boils and whether it mixes with water; of a salt, where its base would boil."""
    smiles = component.principal.smiles
    if component.principal.charge or any(stays_in_water(p) for p in component.parts if p is not component.principal):
        base = next((p.smiles for p in component.parts if p.charge > 0 and is_organic(p)), smiles)
        free = boiling_c(groups.freed_base(base))
        if free is not None and component.role != "product":
            engine.observe(
                f.BoilsWhenFree(component=component.id, boiling_c=free),
                f"{component.name} is a salt, whose base boils at {free:.0f} C",
                ("crc",),
            )
        return
    solvent = miscible_solvent(smiles)
    boiling = component.boiling_c if component.boiling_c is not None else solvent.boiling_c if solvent else None
    if boiling is None and smiles in solvents_by_smiles():
        boiling = solvents_by_smiles()[smiles].boiling_c
    if boiling is None:
        boiling = boiling_c(smiles)
    if boiling is None:
        boiling = _hydrocarbon_boiling(component)
    if boiling is not None:
        engine.observe(
            f.Boils(component=component.id, boiling_c=boiling), f"{component.name} boils at {boiling:.0f} C", ("crc",)
        )
    elif component.role == "product" and len(component.parts) == 1:
        boiling = estimated_boiling_c(smiles)
        if boiling is not None and boiling < MAY_BE_LOST_C:
            engine.observe(
                f.Boils(component=component.id, boiling_c=boiling),
                f"{component.name} boils near {boiling:.0f} C by estimate",
                ("joback_reid",),
            )
    if solvent is not None and component.role != "product":
        engine.observe(
            f.Mixes(component=component.id, solvent=solvent.id, boiling_c=solvent.boiling_c),
            f"{component.name} mixes with water",
            (solvent.source,),
        )


def _taken_up(job: Job, component: Component) -> bool:
    """Tell whether a component is alkali that a quench leaves and its ammonium chloride takes up at once."""
    parents = [job.residues[c][0] for c, born in job.quenched.items() if component.id in born and c in job.residues]
    return bool(parents) and all(
        row.solution == "nh4cl_sat" and not wants_alkali(row, job.mixture.product) for row in parents
    )


def _hydrocarbon_boiling(component: Component) -> float | None:
    """Return about where a small hydrocarbon boils: within 20 C of the straight alkane of as many carbons."""
    mol = component.principal.mol
    carbons = mol.GetNumAtoms()
    plain = len(component.parts) == 1 and not any(
        a.GetAtomicNum() != 6 or a.GetFormalCharge() or a.GetNumRadicalElectrons() for a in mol.GetAtoms()
    )
    if not plain or carbons > len(ALKANE_BOILING_C):
        return None
    return ALKANE_BOILING_C[carbons - 1]
