"""What an abbreviation of two compounds means: product and company decide, and nothing else does."""

from __future__ import annotations

import pytest

from washlore.knowledge.structure import molecules
from washlore.rules.meant import meant

AMIDE, KETONE, ACETONIDE, ESTER, CHLORIDE = (
    "O=C(NCc1ccccc1)c1ccccc1",
    "CC(=O)CCc1ccccc1",
    "CC1(C)OCC(COCc2ccccc2)O1",
    "CCOC(=O)c1ccc(C)cc1",
    "ClCc1ccccc1",
)


@pytest.mark.parametrize(
    ("text", "product", "company", "name"),
    [
        # a coupling reagent for amides and active esters, and beside what goes with one; else dichloroethane may be meant
        ("EDC", AMIDE, (), "EDCI"),
        (" edc ", "O=C(Oc1c(F)c(F)c(F)c(F)c1F)c1ccccc1", (), "EDCI"),
        ("EDC", ESTER, ("triethylamine", "DMAP"), "EDCI"),
        ("EDC", ESTER, ("HOBt",), "EDCI"),
        ("EDC", ESTER, ("triethylamine",), "EDC"),
        ("EDC", CHLORIDE, (), "EDC"),
        # the periodinane makes aldehydes and ketones, dimethoxypropane ketals
        ("DMP", KETONE, (), "Dess-Martin periodinane"),
        ("DMP", "O=CCCc1ccccc1", ("pyridine",), "Dess-Martin periodinane"),
        ("DMP", ESTER, ("2-iodobenzoic acid",), "Dess-Martin periodinane"),
        ("DMP", ACETONIDE, (), "2,2-dimethoxypropane"),
        ("DMP", ESTER, ("TsOH",), "2,2-dimethoxypropane"),
        ("DMP", ESTER, ("PPTS",), "2,2-dimethoxypropane"),
        ("DMP", ESTER, ("no such thing",), "DMP"),
        # signs of both are no sign
        ("DMP", KETONE, ("TsOH",), "DMP"),
        ("DMP", "CC(=O)CCC1COC(C)(C)O1", (), "DMP"),
        # what means one thing only is left as it is
        ("DMF", AMIDE, ("HOBt",), "DMF"),
    ],
)
def test_an_abbreviation_of_two_compounds(text: str, product: str, company: tuple[str, ...], name: str) -> None:
    found, because = meant(text, molecules(product), company)
    assert found == name
    assert bool(because) is (name != text)
