"""What is quenched and what it is quenched with: of "quench the bleach with sulfite" only the sulfite is added."""

from __future__ import annotations

import pytest
from test_reading import short

from washlore.knowledge.rows import Residue, table
from washlore.rules.reading import read_plan

ENDS = " Extract with ether."
QUENCHED = (
    ("Quench sodium hypochlorite with 10 % sodium sulfite, kept basic.", "quench na2so3_10"),
    ("Destroy the excess bleach with 10 mL of 10% sodium sulfite.", "quench na2so3_10 10"),
    ("Kill the leftover bleach w/ Na2S2O3 10 mL.", "quench na2s2o3_10 10"),
    ("Decompose hydrogen peroxide with 10% sodium sulfite.", "quench na2so3_10"),
    ("Reduce the iodine with sodium thiosulfate (10 mL).", "quench na2s2o3_10 10"),
    ("The remaining bleach was reduced with saturated sodium thiosulfate (10 mL).", "quench na2s2o3_sat 10"),
    ("Quench iodine, bromine and sodium hypochlorite with 10 % sodium sulfite.", "quench na2so3_10"),
    ("Treat the sodium hypochlorite with sodium sulfite 10 mL.", "quench na2so3_10 10"),
    ("Quench HCl gas with NaHCO3 10 mL.", "quench nahco3_sat 10"),
    ("Neutralise the HCl with saturated NaHCO3 (20 mL).", "set ph nahco3_sat pH7 20"),
    ("Basify the water to pH 12 with NaOH.", "set ph naoh_1m pH12"),
    ("Neutralise the HCl.", "set ph pH7"),
    ("Stop the reaction with 1 M HCl.", "quench hcl_1m"),
    ("Quench benzoyl peroxide with 10 % sodium sulfite.", "quench na2so3_10"),
    ("Add sodium sulfite (10 mL) to destroy the bleach.", "dilute na2so3_10 10"),
    ("The excess of ozone was quenched with dimethyl sulfide.", "quench"),
    ("Quench sodium nitrite with sulfamic acid.", "quench"),
    ("Quench with methanol with the base still present, then bicarbonate.", "quench methanol | quench nahco3_sat"),
    # Near misses: nothing is quenched that has a name here, or what stands before "with" was added too.
    ("Quench with bleach (10 mL).", "quench bleach_5 10"),
    ("Quench NH4Cl (10 mL) with stirring.", "quench nh4cl_sat 10"),
    ("Quench NH4Cl 10 mL, then with brine 10 mL.", "quench nh4cl_sat 10 | quench brine 10"),
    ("Quench the reaction in THF with sat. NH4Cl (10 mL).", "quench nh4cl_sat+thf 10"),
    ("Quench the reaction NH4Cl (10 mL).", "quench nh4cl_sat 10"),
    ("The ester was reduced with NaBH4. Quench with water (10 mL).", "quench water 10"),
    ("Neutralise NaHCO3 20 mL.", "set ph nahco3_sat pH7 20"),
)


@pytest.mark.parametrize(("text", "steps"), QUENCHED, ids=[q[0][:40] for q in QUENCHED])
def test_only_what_it_is_quenched_with_is_added(text: str, steps: str) -> None:
    read = read_plan(text + ENDS)
    assert " | ".join(short(s) for s in read.steps) == f"{steps} | extract diethyl_ether"
    assert not read.unread


@pytest.mark.parametrize(
    "text", ["Quench the bleach.", "Quench the excess bleach.", "Destroy the remaining hypochlorite."]
)
def test_a_quench_without_what_it_is_done_with_is_told(text: str) -> None:
    read = read_plan(text + ENDS)
    assert [s.action for s in read.steps] == ["extract"]
    assert [u.reason for u in read.unread] == ["what it is quenched with is not known"]


def test_of_no_leftover_of_the_tables_the_name_is_read_as_what_is_added() -> None:
    """As our own plans say it: "Quench N-bromosuccinimide with 10 % sodium thiosulfate"."""
    misread = []
    for row in table(Residue).values():
        for agent in filter(None, (row.quench_with, row.instead_with)):
            named, plain = (
                [
                    (s.solution, s.solvent)
                    for s in read_plan(f"Quench {what}with {agent}." + ENDS).steps
                    if s.solution or s.solvent
                ]
                for what in (f"{row.name} ", "")
            )
            if named != plain:
                misread.append(f"{row.name} with {agent}: {named}, not {plain}")
    assert not misread, "\n".join(misread)
