"""Random flasks that stumbled once, each kept with its cause: our own plan is sound as it is judged and as it is printed."""

from __future__ import annotations

import pytest
from random_mixtures import Flask
from test_own_plan import DRAWS, judged

from washlore.cli.render.plan import plan_text
from washlore.cli.render.record import plan_record
from washlore.rules.plan import make_plan

# What is ended how, or poured into what, decides whether the plan is read as it was meant.
STUMBLED = [
    # Ice and bicarbonate are all water that the product meets when it is set free.
    Flask("imide", "O=C1CCC(c2ccccc2)C(=O)N1", 1.547,
          (("FC(F)(F)C(=O)OI(OC(=O)C(F)(F)F)c1ccccc1", 0.431, "reagent"), ("BrP(Br)Br", 2.0972, "reagent")),
          (("diethyl_ether", 8.6),), "heptane"),
    # A residue that is taken up again is no crude yet; water up to a volume joins the water that is there.
    Flask("salt", "Cl.NCCCc1ccccc1", 8.204,
          (("Oc1c(cc(cc1[N+]([O-])=O)[N+]([O-])=O)[N+]([O-])=O", 7.8143, "acid"),
           ("CCCP1(=O)OP(=O)(CCC)OP(=O)(CCC)O1", 1.4716, "reagent")), (("trifluoroethanol", 41.3),)),
    # The acid of the flask makes ammonium chloride too acidic for an acetal or an epoxide.
    Flask("acetal", "c1ccccc1C1OCCO1", 13.476,
          (("Cl", 3.7926, "acid"), ("[Na+].CC(C)(C)[O-]", 0.9247, "base")), (("diethyl_ether", 103.5),)),
    Flask("epoxide", "C1(c2ccccc2)CO1", 5.869,
          (("CS(=O)(=O)OS(C)(=O)=O", 0.4851, "reagent"), ("[Na+].[BH4-]", 3.5239, "reagent")),
          (("1,2-dichlorobenzene", 48.2), ("water", 27.7))),
    # The water of granular salts makes no layer, and they are basic whatever dries them.
    Flask("acid-sensitive", "C=COCCCCCCc1ccccc1", 26.839,
          (("[Cu+2].[O-]S(=O)(=O)C(F)(F)F.[O-]S(=O)(=O)C(F)(F)F", 3.8871, "catalyst"),
           ("[Li+].[AlH4-]", 10.1917, "reagent")), (("diethyl_ether", 106.2),), "chlorobenzene"),
    Flask("halide", "ClCc1ccc2ccccc2c1", 35.91,
          (("[Zn+2].[O-]S(=O)(=O)C(F)(F)F.[O-]S(=O)(=O)C(F)(F)F", 60.6796, "reagent"),
           ("OC(=O)/C=C/C(O)=O", 21.4874, "acid"), ("[Li+].[AlH4-]", 17.921, "reagent")), (("heptane", 113.5),)),
    # The water of the reaction thins what is poured into it, and is parted with it.
    Flask("epoxide", "CCCCCCC1CO1", 15.181,
          (("C[Si](C)(C)I", 18.0002, "reagent"), ("CN1CCCN2CCCN=C12", 34.3359, "base")),
          (("isooctane", 117.7), ("water", 117.6))),
    # What a solvent brings down is filtered off before any water.
    Flask("acetal", "COC(OC)c1ccc(Cl)cc1", 8.259,
          (("C[Ti+2](C).c1cc[cH-]c1.c1cc[cH-]c1", 14.0499, "reagent"), ("CS(=O)(=O)OS(C)(=O)=O", 3.6189, "reagent")),
          (("hmpa", 44.1),)),
    # Two quenches with one solution each bring a part of it.
    Flask("imide", "O=C1CCC(c2ccccc2)C(=O)N1", 3.841,
          (("C1CO1", 4.1326, "reagent"), ("FB(F)F", 4.158, "reagent")),
          (("diisopropyl_ether", 13.4), ("water", 2.8)), "hexane"),
    # Tartrate takes titanium before lye comes, and what ends in ammonium chloride or bicarbonate with it.
    Flask("amide", "CCCCNC(=O)c1ccc(Cl)cc1", 6.226,
          (("C=O", 19.6189, "reagent"), ("Cl[Ti](Cl)Cl", 1.6184, "reagent"), ("B1C2CCCC1CCC2", 10.1499, "reagent")),
          (("dibutyl_ether", 24.3),)),
    Flask("acetal", "COC(OC)c1ccc(Cl)cc1", 0.475,
          (("Cl[Ti](Cl)(Cl)Cl", 0.7002, "reagent"), ("C=P(c1ccccc1)(c1ccccc1)c1ccccc1", 0.1268, "reagent")),
          (("1,2-dichloroethane", 7.9),), "diethyl_ether"),
    # The ammonia of the flask makes bicarbonate too basic for an active ester.
    Flask("activated", "O=C(ON1C(=O)CCC1=O)c1ccccc1", 10.122,
          (("N", 7.2674, "base"), ("CC(C)(C)OC(=O)OC(=O)OC(C)(C)C", 17.2901, "reagent")), ()),
    # The fluoride of a greasy onium salt is out with the first water.
    Flask("salt", "Cl.NCCCc1ccccc1", 8.204,
          (("Cc1ccc(Br)cc1", 17.1203, "reactant"), ("CCCC[N+](CCCC)(CCCC)CCCC.[F-]", 17.5961, "reagent")),
          (("isobutanol", 37.9),)),
    # Planner and judge both ask the draws of the plan what a miscible solvent may carry.
    Flask("aldehyde", "CCCCCCC=O", 0.492,
          (("Oc1ccc2ccccc2c1-c1c(O)ccc2ccccc12", 0.1617, "reagent"), ("NO", 1.1035, "reagent")),
          (("1,4-dioxane", 8.3),)),
    # What burns with water goes before the solid is brought down, which is still filtered off before the funnel.
    Flask("phenol", "Cc1ccc(O)cc1", 3.412,
          (("C=CC[Mg]Cl", 1.0985, "reagent"), ("C[Ti+2](C).c1cc[cH-]c1.c1cc[cH-]c1", 0.8357, "reagent")),
          (("toluene", 29.7),), "mtbe"),
    # The pentane that brings a solid down is stripped off again, and is no solvent of the washes.
    Flask("amide", "CN(C)C(=O)CCCCCCC", 1.175,
          (("C[Ti+2](C).c1cc[cH-]c1.c1cc[cH-]c1", 0.3166, "reagent"), ("CC(C)(C)N", 0.7888, "reagent")),
          (("diisopropyl_ether", 13.3),)),
    # Where no acid may come near, nitrogen blows diazomethane out.
    Flask("carbamate", "CC(C)(C)OC(=O)NCCc1ccccc1", 3.309,
          (("CCOP(=O)(C#N)OCC", 5.0964, "reagent"), ("C=[N+]=[N-]", 0.3974, "reagent")), (("anisole", 23.6),)),
    # Much acid is met with as much bicarbonate; much water makes a layer, and the washes of it, smaller.
    Flask("azide, diazo", "CCOC(=O)C=[N+]=[N-]", 77.029,
          (("CC(O)=O", 15.5919, "acid"), ("ClC(=O)C(Cl)=O", 161.5719, "reagent")),
          (("1-butanol", 231.9),), "petroleum_ether"),
    Flask("carbamate", "COC(=O)C(Cc1ccccc1)NC(=O)OCc1ccccc1", 0.643,
          (("OC(=O)CCl", 0.8227, "acid"), ("COc1ccc(N)cc1", 1.0702, "reagent")), (("sulfolane", 8.5),)),
    # A little methanol before the carbonate brings no cyanide and halogen together.
    Flask("silyl ether", "C[Si](C)(C)OC1CCCCC1", 18.841,
          (("[Zn+2].[C-]#N.[C-]#N", 12.4906, "reagent"),
           ("Cc1cccc([N+]([O-])=O)c1C(=O)OC(=O)c1c(C)cccc1[N+]([O-])=O", 32.5297, "reagent"),
           ("ICl", 13.2274, "reagent")), ()),
    # Copper ends white phosphorus; that a thiol falls with it is no danger.
    Flask("lactone", "O=C1OC(c2ccccc2)CC1", 0.742,
          (("CCCCCCCCCCCCS", 1.3743, "reagent"), ("P12P3P1P23", 1.646, "reagent")), (("mibk", 9.9),)),
    # The water of the reaction thins what a quench pours in; the judge pours in what the words say.
    Flask("acid-sensitive", "COc1ccc(COCCCc2ccccc2)cc1", 98.074, (("BrC#N", 303.5547, "reagent"),),
          (("pyridine", 648.7), ("water", 295.0))),
    # Hydrazine is a base: an acid holds it when the solvent goes.
    Flask("base-sensitive", "O=C(CCc1ccccc1)OCC1c2ccccc2-c2ccccc21", 5.129,
          (("NN", 14.5098, "reagent"), ("CC(C)(C)OC(=O)NCC(O)=O", 11.1225, "reactant")), (("1,4-dioxane", 37.6),)),
    # Beside a cyanide persulfate meets carbonate before water.
    Flask("heteroarene", "Cn1ccnc1-c1ccccc1", 1.327,
          (("[NH4+].[NH4+].[O-]S(=O)(=O)OOS([O-])(=O)=O", 2.4348, "reagent"), ("[Cu+].[C-]#N", 0.6479, "reagent")), ()),
    Flask("ester", "CC(=O)OCC=C(C)CCC=C(C)C", 2.607,
          (("CCOP(=O)(C#N)OCC", 0.3647, "reagent"),
           ("[NH4+].[NH4+].[O-]S(=O)(=O)OOS([O-])(=O)=O", 0.1759, "reagent"), ("CN1CCOCC1", 0.2236, "base")),
          (("isopropyl_acetate", 23.0),)),
    # Nitromethane is not stripped from strong base.
    Flask("imide", "O=C1CCC(c2ccccc2)C(=O)N1", 3.047,
          (("[K+].[OH-]", 8.2091, "base"), ("CCCCCCCCCCCCCCCC(O)=O", 0.3088, "acid"),
           ("[Cu+].[Cu+].[O-2]", 0.1543, "catalyst")), (("nitromethane", 27.5),)),
    # The solid that goes in with much acid is in the account.
    Flask("epoxide", "C1(c2ccccc2)CO1", 14.798,
          (("O=S(=O)(Cl)c1ccccc1[N+]([O-])=O", 31.4899, "reagent"), ("S", 1.3382, "reagent"),
           ("[Li]CCCCCC", 45.5742, "reagent")), (("formic_acid", 68.7),)),
    # Ammonia that ends phosgene sets morpholine free of its salt.
    Flask("thiol, sulfide", "CS(=O)c1ccccc1", 0.399,
          (("OS(O)(=O)=O", 1.0748, "acid"), ("C1COCC[NH2+]1.[Cl-]", 0.762, "by-product"), ("ClC(Cl)=O", 0.1462, "reagent")),
          (("chloroform_isopropanol", 6.9),)),
    # Isopropanol comes before the bicarbonate, in one step of ours.
    Flask("amino ester", "CCOC(=O)C(N)Cc1ccccc1", 7.087,
          (("c1ccoc1", 3.4867, "reactant"), ("[K]", 16.2217, "reagent"), ("N=[N+]=[N-]", 2.3592, "reagent")), ()),
    # Phosphorus oxychloride goes straight into carbonate where acid would break the product.
    Flask("epoxide", "C1(c2ccccc2)CO1", 7.196,
          (("[Na+].[O-][N+]([O-])=O", 1.0613, "reagent"), ("ClP(Cl)(Cl)=O", 19.0073, "reagent")),
          (("trifluorotoluene", 55.6),)),
    # A high-boiling solvent that no wash takes is left by us as well.
    Flask("silyl ether", "C[Si](C)(C)OC1CCCCC1", 28.51, (("CC(C)=CCC/C(C)=C/CO", 31.5038, "reactant"),),
          (("benzyl_alcohol", 220.0),)),
    # What catches fire with water goes first, and leaves no halogen for its ammonium chloride.
    Flask("salt", "Cl.NCCCc1ccccc1", 6.054,
          (("BrBr", 2.4874, "reagent"), ("CC(C)[Mg]Cl.[Li+].[Cl-]", 17.1212, "reagent")),
          (("pentane", 32.3),), "ethyl_acetate"),
]  # fmt: skip


@pytest.mark.parametrize("flask", STUMBLED, ids=lambda flask: flask.kind)
def test_what_stumbled_once_is_done_and_read_as_it_is_meant(flask: Flask) -> None:
    plan = make_plan(flask.built(), DRAWS)
    assert judged(plan) == ("ok", [])
    assert judged(plan, plan_text(plan_record(plan), 100)) == ("ok", [])
