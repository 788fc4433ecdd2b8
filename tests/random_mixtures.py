"""Random flasks as a laboratory could hold them: a product of one of many kinds, leftovers out of the reagent table.

The structures are of our own choice, a few of each kind; amounts, solvents and company are drawn.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from functools import cache

from rdkit import Chem

from washlore.knowledge.rows import Reagent, Solvent, table
from washlore.knowledge.structure import canonical_smiles
from washlore.rules.mixture import ROLES, Mixture, build

PRODUCTS: dict[str, tuple[str, ...]] = {
    "ester": ("CCCCOC(=O)c1ccc(C)cc1", "COC(=O)/C=C/c1ccccc1", "CC(=O)OCC=C(C)CCC=C(C)C"),
    "lactone": ("O=C1OC(c2ccccc2)CC1", "CCCCCC1CCCC(=O)O1"),
    "carbamate": ("CC(C)(C)OC(=O)NCCc1ccccc1", "COC(=O)C(Cc1ccccc1)NC(=O)OCc1ccccc1"),
    "amide": ("O=C(c1ccccc1)N1CCCCC1", "CCCCNC(=O)c1ccc(Cl)cc1", "CN(C)C(=O)CCCCCCC"),
    "imide": ("O=C1c2ccccc2C(=O)N1Cc1ccccc1", "O=C1CCC(c2ccccc2)C(=O)N1"),
    "sulfonamide": ("Cc1ccc(S(=O)(=O)NCCCC)cc1", "Cc1ccc(S(=O)(=O)N2CCOCC2)cc1"),
    "alcohol": ("OC(c1ccccc1)C1CCCCC1", "CCCCCCCCO", "OCc1ccc(Br)cc1", "OCCCCO"),
    "ether": ("COCCc1ccc(Cl)cc1", "c1ccc(COc2ccccc2)cc1"),
    "silyl ether": ("CC(C)(C)[Si](C)(C)OCCCc1ccccc1", "C[Si](C)(C)OC1CCCCC1"),
    "acetal": ("c1ccccc1C1OCCO1", "COC(OC)c1ccc(Cl)cc1"),
    "aldehyde": ("O=Cc1ccc(C)cc1", "CCCCCCC=O"),
    "ketone": ("O=C1CCCCC1c1ccccc1", "CC(=O)/C=C/c1ccccc1", "CCC(=O)CC(=O)OCC"),
    "nitrile": ("N#CCCc1ccccc1", "N#Cc1ccc(OC)cc1"),
    "halide": ("ClCc1ccc2ccccc2c1", "BrCCCCCCc1ccccc1"),
    "hydrocarbon": ("C=CCCCCCCc1ccccc1", "c1ccc(-c2ccccc2)cc1"),
    "acid": ("OC(=O)c1ccc(OCc2ccccc2)cc1", "CCCCCCCC(=O)O", "OC(=O)CCc1ccc(Cl)cc1", "OC(=O)c1ccccc1C(=O)O"),
    "phenol": ("Cc1ccc(O)cc1", "Oc1ccc(-c2ccccc2)cc1", "O=Cc1ccccc1O"),
    "amine": ("c1ccc(CNCc2ccccc2)cc1", "NCCCCCCCC", "CN(C)CCc1ccc(Cl)cc1", "C1CCN(CC1)Cc1ccccc1"),
    "aniline": ("Cc1ccc(N)cc1", "CN(C)c1ccc(C=O)cc1", "Nc1ccc([N+](=O)[O-])cc1"),
    "heteroarene": ("c1ccc2ncccc2c1", "Cc1nc2ccccc2[nH]1", "c1ccc(-c2ccncc2)cc1", "Cn1ccnc1-c1ccccc1"),
    "amino ester": ("CCOC(=O)C(N)Cc1ccccc1", "COC(=O)C1CCCN1Cc1ccccc1"),
    "amino acid": ("NC(Cc1ccccc1)C(=O)O", "OC(=O)c1cccnc1"),
    "amino phenol": ("NCCc1ccc(O)cc1", "CN(C)Cc1ccccc1O"),
    "thiol, sulfide": ("SCc1ccc(Cl)cc1", "CCCCSc1ccccc1", "CS(=O)c1ccccc1"),
    "nitro": ("O=[N+]([O-])c1ccc(CC(=O)OC)cc1", "CCCC[N+](=O)[O-]"),
    "epoxide": ("C1(c2ccccc2)CO1", "CCCCCCC1CO1"),
    "boronate": ("CC1(C)OB(c2ccccc2)OC1(C)C", "OB(O)c1ccc(C)cc1"),
    "phosphorus": ("CCOP(=O)(OCC)Cc1ccccc1", "O=P(c1ccccc1)(c1ccccc1)CCCC"),
    "azide, diazo": ("[N-]=[N+]=NCCCc1ccccc1", "CCOC(=O)C=[N+]=[N-]"),
    "salt": ("CCCC[N+](C)(C)Cc1ccccc1.[Br-]", "Cl.NCCCc1ccccc1"),
    "polyol": ("OCC(O)C(O)C(O)C(O)CO", "COC1OC(CO)C(O)C(O)C1O"),
    "acid-sensitive": ("C=COCCCCCCc1ccccc1", "COc1ccc(COCCCc2ccccc2)cc1", "c1ccc(C(OCCCC)(c2ccccc2)c2ccccc2)cc1"),
    "base-sensitive": ("O=C(CCc1ccccc1)OCC1c2ccccc2-c2ccccc21", "CC(=O)OCC(=O)c1ccccc1"),
    "activated": ("O=C(ON1C(=O)CCC1=O)c1ccccc1", "O=C(Cl)c1ccccc1", "O=C(OC(=O)c1ccccc1)c1ccccc1"),
}
# What never changes how the washes go: neutral, greasy, unreactive, and held by the organic layer.
INERT = ("CCCCCCCCCCCCCC", "c1ccc2cc3ccccc3cc2c1", "Cc1cc(C)cc(C)c1", "CCCCCCCCCCCC")
_ROLE = {"base": "base", "acid": "acid", "catalyst": "catalyst", "by-product": "by-product", "substrate": "reactant"}


@dataclass(frozen=True)
class Flask:
    """A mixture before it is built; amounts in mmol, volumes in mL, ``others`` as (SMILES, mmol, role)."""

    kind: str
    product: str
    mmol: float
    others: tuple[tuple[str, float, str], ...]
    solvents: tuple[tuple[str, float], ...]
    extract: str = "choose"

    def built(self) -> Mixture:
        """Return the mixture; raises ``MixtureError`` for what cannot be one."""
        return build(
            self.product,
            [(smiles, f"{mmol!r} mmol", role) for smiles, mmol, role in self.others],
            product_amount=f"{self.mmol!r} mmol",
            solvents=self.solvents,
            extract=self.extract,
        )

    def scaled(self, factor: float) -> Flask:
        """Return the flask with every amount and volume times ``factor``."""
        return replace(
            self,
            mmol=self.mmol * factor,
            others=tuple((s, m * factor, r) for s, m, r in self.others),
            solvents=tuple((s, v * factor) for s, v in self.solvents),
        )

    def with_inert(self, rng: random.Random) -> Flask:
        """Return the flask with a tenth of its product's amount of something that no wash touches."""
        there = {canonical_smiles(s) for s in (self.product, *(o[0] for o in self.others))}
        added = rng.choice([s for s in INERT if canonical_smiles(s) not in there])
        return replace(self, others=(*self.others, (added, self.mmol / 10, "impurity")))

    def shuffled(self, rng: random.Random) -> Flask:
        """Return the flask with its components in another order."""
        return replace(self, others=tuple(rng.sample(self.others, len(self.others))))

    def respelt(self, rng: random.Random) -> Flask:
        """Return the flask with its SMILES written from other atoms."""
        return replace(
            self,
            product=respelt(self.product, rng),
            others=tuple((respelt(s, rng), m, r) for s, m, r in self.others),
        )


def respelt(smiles: str, rng: random.Random) -> str:
    """Return the same structure as another SMILES."""
    mol = Chem.MolFromSmiles(smiles)
    order = rng.sample(range(mol.GetNumAtoms()), mol.GetNumAtoms())
    return Chem.MolToSmiles(Chem.RenumberAtoms(mol, order), canonical=False)


@cache
def reagents() -> tuple[Reagent, ...]:
    """Return the reagents, one for each structure."""
    return tuple({canonical_smiles(row.smiles): row for row in table(Reagent).values()}.values())


def flask(rng: random.Random, most_others: int = 4) -> Flask:
    """Return a random flask."""
    kind = rng.choice(list(PRODUCTS))
    product = rng.choice(PRODUCTS[kind])
    mmol = round(10 ** rng.uniform(-0.5, 2.0), 3)
    own = canonical_smiles(product)
    rows = [r for r in rng.sample(reagents(), rng.randint(1, most_others)) if canonical_smiles(r.smiles) != own]
    others = []
    for row in rows:
        role = _ROLE.get(row.use, row.use if row.use in ROLES else "reagent")
        equiv = 10 ** (rng.uniform(-2.0, -0.5) if role == "catalyst" else rng.uniform(-1.3, 0.5))
        others.append((row.smiles, round(mmol * equiv, 4), role))
    solvents = [s for s in table(Solvent).values() if s.id != "water"]
    common = [s for s in solvents if s.extractant] or solvents
    chosen = rng.choice(common if rng.random() < 0.6 else solvents)
    volumes: tuple[tuple[str, float], ...] = ((chosen.id, round(mmol * rng.uniform(2.0, 8.0) + 5.0, 1)),)
    if rng.random() < 0.15:
        volumes = (*volumes, ("water", round(volumes[0][1] * rng.uniform(0.2, 1.0), 1)))
    if rng.random() < 0.1:
        volumes = ()
    extract = rng.choice([s.id for s in solvents if s.extractant]) if rng.random() < 0.2 else "choose"
    return Flask(kind, product, mmol, tuple(others), volumes, extract)
