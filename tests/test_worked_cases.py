"""Worked cases: workups that were published, taught or are done every day, and what our plan must and must not hold.

``READ`` cases were read where the source says; the months are those of the Open Reaction Database (CC BY-SA 4.0) in the
wheel ``orderly`` 1.0.0, "month/row" of its table. ``RECALLED`` names the source from memory. ``PRACTICE`` is common
practice of the synthetic laboratory. ``used`` are solutions that the source used on a product which came through: we
must not call them harmful. Amounts are what may be left, scaled to ten millimoles.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import pytest

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.mixture import build, read_other
from washlore.rules.plan import Plan, make_plan
from washlore.rules.reckon import PlanRefused

READ, RECALLED, PRACTICE = "read", "recalled", "common practice"
DCM, ETHER, ETOAC, THF, DMF = "dichloromethane", "diethyl ether", "ethyl acetate", "THF", "DMF"


@dataclass(frozen=True)
class Worked:
    """A case. ``must`` and ``must_not`` are words of ``holds``."""

    name: str
    product: str
    others: tuple[str, ...]
    solvent: str
    must: tuple[str, ...]
    must_not: tuple[str, ...]
    why: str
    kind: str
    source: str
    used: tuple[str, ...] = ()


def ord_(row: str) -> str:
    return f"United States patent procedure in the Open Reaction Database, orderly 1.0.0, {row}"


CASES = [
    # --- read --------------------------------------------------------------------------------------------------
    Worked(
        "ester by carbodiimide", "CCOC(=O)/C=C/C(=O)OC(C)(C)C", ("DCC; 1 mmol", "DCU; 10 mmol", "DMAP; 0.8 mmol"), DCM,
        ("filter", "acid", "base"), ("hydroxide",), "the urea is filtered, acid takes DMAP; the tert-butyl ester stands both",
        READ, "Neises and Steglich, Org. Synth. 1985, 63, 183", ("hcl_05m", "nahco3_sat"),
    ),
    Worked(
        "Swern aldehyde with a stereocentre", "C[C@@H](C=O)COCc1ccccc1", ("Et3N; 40 mmol", "DMSO; 30 mmol"), DCM,
        ("acid side",), ("hydroxide", "carbonate"), "ammonium chloride takes triethylamine; base would epimerise the aldehyde",
        READ, "Rathi, ChemSpider SyntheticPages 308 (2009)", ("nh4cl_sat", "brine"),
    ),
    Worked(
        "di-Cbz-lysine away from benzyl alcohol", "O=C(O)C(CCCCNC(=O)OCc1ccccc1)NC(=O)OCc1ccccc1", ("benzyl alcohol; 10 mmol",),
        ETHER, ("changes layer", "set below 7"), ("hydroxide",), "into hydrogen carbonate as its salt, back with acid",
        READ, "Bodanszky and Bodanszky, The Practice of Peptide Synthesis, chapter on page 24 of the Springer listing (abstract)",
    ),
    Worked(
        "1-phenylethanol after a Grignard reagent", "CC(O)c1ccccc1", ("MeMgI; 2 mmol", "iodine; 0.2 mmol"), ETHER,
        ("quench ammonium chloride", "reductant"), ("hydroxide",), "the magnesium is kept in solution, the iodine is reduced",
        READ, "Cohen, Practical Organic Chemistry, preparation of phenylmethylcarbinol (scanned text)", ("nahco3_sat",),
    ),
    Worked(
        "alcohol after lithium aluminium hydride", "OCCCc1ccccc1", ("LiAlH4; 10 mmol",), ETHER,
        ("quench 15 % NaOH", "caution hydrogen", "caution never water all at once"), ("acid",),
        "water, base and water in turn leave a solid that filters",
        READ, "LibreTexts, Quenching reactions: lithium aluminium hydride",
    ),
    Worked(
        "ester product after lithium aluminium hydride", "CCOC(=O)CCc1ccccc1", ("LiAlH4; 2 mmol",), ETHER,
        ("quench Rochelle",), ("quench 15 % NaOH",), "Rochelle salt where hydroxide would saponify",
        READ, "LibreTexts, Quenching reactions: aluminium based reactions",
    ),
    Worked(
        "aldehyde taken out with bisulfite", "CCCCNC(=O)c1ccccc1", ("benzaldehyde; 3 mmol",), ETOAC,
        ("uses nahso3_sat", "says nothing"), (), "the adduct is a salt; a miscible solvent helps it form",
        READ, "Boucher, Furigay, Quach and Brindle, Org. Process Res. Dev. 2017, 21, 1394 (abstract)",
    ),
    Worked(
        "copper taken out", "c1ccc(-c2ccc(C#Cc3ccccc3)cc2)cc1", ("CuI; 1 mmol", "Et3N; 20 mmol"), ETOAC,
        ("uses nh4cl_nh3", "acid"), (), "ammonium chloride and ammonia hold copper as the blue ammine",
        READ, "Laboratory sheet on copper, boron and tin residues (studylib 7494873)",
    ),
    Worked(
        "epoxide by peracid", "CCCCCC(O)C1OC1C1CCC(O)C1CCCCCCC(=O)OC", ("mCPBA; 2 mmol", "Clc1cccc(C(=O)O)c1; 4 mmol"), DCM,
        ("reductant", "base"), ("acid", "hydroxide"), "sulfite for the peracid, hydrogen carbonate for the acid",
        READ, ord_("1976_01/1992"), ("na2so3_10", "nahco3_5"),
    ),
    Worked(
        "sulfoxide by peracid", "COC(=O)C(Oc1ccc(Cl)cc1)c1ccc(S(=O)c2ccc(Cl)cc2)cc1", ("mCPBA; 1 mmol",), DCM,
        ("reductant", "base"), ("hydroxide",), "sulfite, then hydrogen carbonate", READ, ord_("1979_09/522"),
        ("na2so3_10", "nahco3_sat"),
    ),
    Worked(
        "bromoadamantane after bromine", "CCC12CC3CC(CC(Br)(C3)C1)C2", ("bromine; 10 mmol",), DCM,
        ("reductant", "caution bromine"), ("ammonia",), "sulfite or thiosulfate takes bromine; the bridgehead halide stands it",
        READ, ord_("1982_08/1254"), ("nahco3_5", "na2so3_10"),
    ),
    Worked(
        "bromo ketone after NBS", "CC(C)(C)C(=O)C(Br)Oc1ccc(Cl)cn1", ("NBS; 1 mmol", "succinimide; 10 mmol"), DCM,
        ("reductant",), ("ammonia", "hydroxide"), "what oxidises is reduced before drying", READ, ord_("1979_09/48"),
    ),
    Worked(
        "mesylate", "CCCCCC(CC[C@H]1CCC(=O)[C@@H]1CCCCCCC(=O)OCC)OS(C)(=O)=O", ("Et3N; 15 mmol", "MsCl; 1 mmol"), DCM,
        ("acid",), ("ammonia", "hydroxide"), "acid takes the amine, no amine for the chloride: the mesylate would take it up",
        READ, ord_("1976_01/1103"), ("hcl_10pct", "nahco3_sat"),
    ),
    Worked(
        "aldehyde by chromic acid in pyridine", "CC(C)(C)[Si](C)(C)N1C(=O)C(N=[N+]=[N-])C1CC=O",
        ("chromium trioxide; 5 mmol", "pyridine; 60 mmol"), DCM, ("quench isopropanol", "acid side", "caution carcinogen"),
        ("hydroxide",), "the chromium is reduced and filtered, acid takes pyridine", READ, ord_("1980_08/381"),
        ("hcl_5pct", "nahco3_5"),
    ),
    Worked(
        "tert-butyl ester by carbodiimide", "CCOC(=O)C(C)C(=O)N1CCC[C@H]1C(=O)OC(C)(C)C",
        ("DCC; 1 mmol", "DCU; 10 mmol", "CC(C)(C)OC(=O)[C@@H]1CCCN1; 1 mmol"), ETOAC, ("filter", "acid", "base"),
        ("uses hcl_10pct",),
        "hydrogen sulfate takes the amine, hydrogen carbonate the acid", READ, ord_("1978_12/165"), ("khso4_5", "nahco3_sat"),
    ),
    Worked(
        "Boc dipeptide by DCC and HOBt",
        "COc1ccc(CSC[C@@H](NC(=O)OC(C)(C)C)C(=O)N2CCC[C@H]2C(=O)OC(C)(C)C)cc1",
        ("DCC; 1 mmol", "DCU; 10 mmol", "HOBt; 10 mmol"), ETOAC, ("filter", "base"), ("bleach", "uses hcl_10pct"),
        "HOBt is an acid of pKa 4.6", READ, ord_("1978_12/310"), ("khso4_10", "nahco3_sat"),
    ),
    Worked(
        "Boc-leucine, an acid product", "CC(C)C[C@H](NC(=O)OC(C)(C)C)C(=O)O", ("Et3N; 15 mmol",), ETOAC,
        ("acid side", "recovers 90 %"), ("base wash",), "citric acid takes the amine; base would take the product",
        READ, ord_("1976_01/818"), ("citric_10",),
    ),
    Worked(
        "Cbz peptide ester with a free phenol", "CCOC(=O)CNC(=O)[C@H](Cc1ccc(O)cc1)NC(=O)[C@H](CO)NC(=O)OCc1ccccc1",
        ("Et3N; 12 mmol", "N-hydroxysuccinimide; 10 mmol"), DMF, ("base",), ("hydroxide",),
        "dilute acid, then hydrogen carbonate, in which a phenol stays behind", READ, ord_("1978_12/50"), ("hcl_01m", "nahco3_sat"),
    ),
    Worked(
        "alcohol out of trifluoroacetic acid", "CCCCCC(O)CC[C@H]1CCC(=O)[C@@H]1CCCCCCC(=O)OCC", ("TFA; 40 mmol",), "chloroform",
        ("base", "caution carbon dioxide"), ("hydroxide",), "hydrogen carbonate takes the acid, with much gas",
        READ, ord_("1976_01/1080"), ("nahco3_sat",),
    ),
    Worked(
        "dehydration with phosphorus oxychloride in pyridine", "CCOC(=O)CC=C(C)c1cccc(C(=O)c2ccccc2)c1",
        ("POCl3; 10 mmol", "pyridine; 60 mmol"), ETHER, ("quench water", "acid", "caution never ice"), ("hydroxide",),
        "the oxychloride is destroyed in water, acid takes pyridine", READ, ord_("1976_01/656"), ("hcl_10pct", "nahco3_sat"),
    ),
    Worked(
        "chloro ester after thionyl chloride", "CCOC(=O)C(Cl)c1ccc2cc(OC)ccc2c1", ("thionyl chloride; 30 mmol",), ETHER,
        ("quench ice", "quench bicarbonate", "caution sulfur dioxide"), ("hydroxide",),
        "ice and hydrogen carbonate, open, never water into it",
        READ, ord_("1976_01/705"), ("nahco3_sat",),
    ),
    Worked(
        "propargylic alcohol after butyllithium", "CCCC#CC(O)CCCl", ("n-BuLi; 2 mmol",), ETHER,
        ("quench ammonium chloride", "caution ignites"), ("hydroxide",), "ammonium chloride, in drops",
        READ, ord_("1976_01/1250"), ("nh4cl_sat", "hcl_1m"),
    ),
    Worked(
        "tertiary allylic alcohol after a Grignard reagent", "C=C1CC(O)(C(=C)C)CCC2=C(C)CCC12", ("PhMgBr; 2 mmol",), ETHER,
        ("quench ammonium chloride",), ("uses hcl_1m", "uses hcl_10pct"), "ammonium chloride, since acid would dehydrate it",
        READ, ord_("1976_01/1932"), ("nh4cl_sat", "na2co3_10"),
    ),
    Worked(
        "tertiary amine after lithium aluminium hydride", "CCSc1ccc2c(c1)C(CCN(C)C)=Cc1ccccc1N2C", ("LiAlH4; 10 mmol",), THF,
        ("quench NaOH",), ("acid", "bleach", "oxidant"), "hydroxide splits the aluminate; acid would take the amine",
        READ, ord_("1976_01/30"), ("naoh_2m",),
    ),
    Worked(
        "amine out of its salt", "CN1CCCCC1CCc1ccccc1N", ("HCl; 30 mmol",), ETHER, ("set above 7", "recovers 90 %"), ("acid",),
        "base sets the amine free before anything is parted", READ, ord_("1976_01/207"),
    ),
    Worked(
        "amine sulfone out of acetic acid and peroxide", "CCS(=O)(=O)c1ccc2c(c1)C(CCN(C)C)=Cc1ccccc1N2C",
        ("acetic acid; 60 mmol", "hydrogen peroxide; 5 mmol"), DCM, ("reductant", "set above 7 or base"), ("acid",),
        "peroxide is reduced, the amine set free", READ, ord_("1976_01/31"),
    ),
    Worked(
        "Friedel-Crafts ketone", "COc1ccc(C(=O)CCCCCBr)c(Cl)c1Cl", ("aluminium chloride; 12 mmol",), DCM,
        ("quench ice", "caution hydrogen chloride"), (), "ice and hydrochloric acid hold aluminium in the water",
        READ, ord_("1976_01/504"), ("hcl_1m", "naoh_01m"),
    ),
    Worked(
        "phenol after boron tribromide", "O=C(c1ccc(-c2ccc(O)cc2)cc1)C1CC=CC1", ("boron tribromide; 10 mmol",), DCM,
        ("quench methanol", "recovers 90 %"), ("hydroxide", "carbonate"), "water splits the borate; base would take the phenol",
        READ, ord_("1986_09/735"), ("water", "brine"),
    ),
    Worked(
        "alkyl azide out of DMF", "CCCCCC(CC[C@H]1CCC(=O)[C@@H]1CCCCCCC(=O)OCC)N=[N+]=[N-]", ("sodium azide; 10 mmol",), DMF,
        ("caution hydrazoic acid", "left c1 1 %", "left s1 2 %"), ("acid", "extracts dichloromethane", "extracts chloroform"),
        "water and ether; azide meets neither acid nor dichloromethane", READ, ord_("1976_01/1104"), ("brine",),
    ),
    Worked(
        "nitrile after potassium cyanide", "N#CCC(O)Cc1cccc(C(O)c2ccccc2)c1", ("potassium cyanide; 10 mmol",), DCM,
        ("base", "caution hydrogen cyanide", "caution bleach"), ("acid", "uses nh4cl_sat", "uses nahco3_sat"),
        "cyanide stays in base and is destroyed there", READ, ord_("1976_01/647"), ("water",),
    ),
    Worked(
        "ketone out of chromic acid in pyridine", "CCCCCC(=O)CC[C@H]1CC2OCCOC2[C@@H]1CCCCCCC(=O)OCC",
        ("chromium trioxide; 5 mmol", "pyridine; 60 mmol"), ETHER, ("acid side",), (), "cold 5 % acid takes pyridine",
        READ, ord_("1976_01/1084"), ("hcl_5pct", "nahco3_sat"),
    ),
    Worked(
        "aryl ether out of DMSO", "CC(C)Oc1ccc([N+](=O)[O-])cc1C(F)(F)F", (), "DMSO", ("left s1 1 %",), (),
        "water and ether take DMSO apart from a greasy product", READ, ord_("1979_09/4"), ("water",),
    ),
    Worked(
        "ether after sodium hydride", "COC(=O)C(C)(C)Oc1c(C)oc2ccccc12", ("sodium hydride; 2 mmol",), DMF,
        ("quench isopropanol", "caution hydrogen"), ("hydroxide",), "hydride is destroyed in drops before water comes",
        READ, ord_("1976_01/445"), ("water",),
    ),
    Worked(
        "allylic alcohol after borohydride", "CCCCCC(O)/C=C/Br", ("sodium borohydride; 10 mmol",), "ethanol",
        ("quench ammonium chloride", "caution hydrogen"), (), "the borohydride goes with gas, borates with the water",
        READ, ord_("1976_01/1258"), ("water", "brine"),
    ),
    Worked(
        "THP aldehyde after DIBAL", "O=CCCCCCCOC1CCCCO1", ("DIBAL-H; 5 mmol",), "toluene",
        ("quench Rochelle", "dries na2so4"), ("uses hcl_1m", "bleach"), "aluminium as tartrate; the acetal meets no strong acid",
        READ, ord_("1976_01/1971"), ("nahco3_sat", "brine"),
    ),
    Worked(
        "alkyl iodide with a trace of iodine", "CCOC(=O)CC(C)(C)CCCCI", ("sodium iodide; 20 mmol", "iodine; 0.2 mmol"), ETHER,
        ("reductant",), ("ammonia",), "bisulfite or thiosulfate takes the colour", READ, ord_("1976_01/1226"), ("nahso3_10",
        "brine"),
    ),
    Worked(
        "aryl acetate by peracid", "CCn1c2ccc(OC(C)=O)cc2c2cc(OC(C)=O)ccc21", ("mCPBA; 2 mmol", "Clc1cccc(C(=O)O)c1; 10 mmol"),
        "chloroform", ("reductant", "base"), ("hydroxide", "carbonate"), "hydrogen carbonate spares the aryl acetate",
        READ, ord_("1976_01/955"), ("nahco3_sat", "water"),
    ),
    Worked(
        "ketone after a cuprate", "CC(=O)CC(C)c1cccc(Oc2ccccc2)c1", ("[Li+].C[Cu-]C; 2 mmol",), ETHER, ("quench ammonia",), (),
        "ammonia in ammonium chloride keeps copper in the water", READ, ord_("1980_08/100"), ("na2co3_10",),
    ),
    Worked(
        "resorcinol out of acetic acid", "CCCCCCCCC(C)C(C)c1cc(O)cc(O)c1", ("acetic acid; 60 mmol", "HBr; 20 mmol"), ETHER,
        ("base",), ("hydroxide", "carbonate"), "hydrogen carbonate takes the acids and leaves the phenol",
        READ, ord_("1976_01/432"), ("nahco3_sat",),
    ),
    Worked(
        "naphthyl acetate out of pyridine", "CC(=O)Oc1cccc2c1CC=CC2", ("pyridine; 60 mmol", "acetic anhydride; 10 mmol"), ETHER,
        ("acid", "quench anhydride"), ("uses naoh_1m",), "acid takes pyridine, hydrogen carbonate acetic acid",
        READ, ord_("1976_01/1951"), ("hcl_5pct",),
    ),
    Worked(
        "imidazobenzodiazepine N-oxide by peracid", "Cc1cnc2n1-c1ccc(Cl)cc1C(c1ccccc1)=[N+]([O-])C2",
        ("mCPBA; 2 mmol", "Clc1cccc(C(=O)O)c1; 5 mmol"), DCM, ("reductant", "base"), ("acid",),
        "cold dilute carbonate takes the acid; acid would take the imidazole", READ, ord_("1976_01/1528"), ("k2co3_10", "water"),
    ),
    Worked(
        "cyclopentane diol after borohydride", "CCCCCC(O)CCC1C(C#N)CC(O)C1O", ("NaBH4; 5 mmol",), "methanol",
        ("quench ammonium chloride", "caution hydrogen", "strips methanol"), ("hydroxide",), "hydride first, then the methanol",
        READ, ord_("1976_01/1657"), ("water",),
    ),
    Worked(
        "psoralen after DDQ", "COc1c2occc2cc2ccc(=O)oc12", ("DDQ; 3 mmol",), "toluene",
        ("quench ascorbate", "base"), ("hydroxide",), "the quinone is reduced, its hydroquinone goes into mild base",
        READ, ord_("1978_12/298"), ("water",),
    ),
    Worked(
        "tosylate of a Boc azetidinone", "Cc1ccc(S(=O)(=O)OC[C@@H]2NC(=O)[C@@H]2NC(=O)OC(C)(C)C)cc1",
        ("TsCl; 0.5 mmol", "pyridine; 60 mmol"), ETOAC, ("acid side", "quench hydrogen carbonate"), ("ammonia", "hydroxide"),
        "acid takes pyridine; no amine for the chloride, which the tosylate would take up", READ, ord_("1979_09/95"),
        ("hcl_01m", "nahco3_5", "brine"),
    ),
    Worked(
        "thioether with stearyl mercaptan left", "CCCCCCCCCCCCCCCCCCSC(C)CC#N", ("CCCCCCCCCCCCCCCCCCS; 1 mmol",), DCM,
        ("says chromatography", "caution bleach"), ("bleach", "acid"), "so long a thiol no base takes out",
        READ, ord_("1979_09/253"), ("h2so4_1m", "water"),
    ),
    Worked(
        "proline carbamate beside proline", "Cc1ccc(OC(=O)N2CCC[C@H]2C(=O)O)cc1", ("proline; 5 mmol",), ETOAC,
        ("left c1 1", "recovers 90 %"), ("base wash", "hydroxide"), "the amino acid stays in water, the carbamate in ethyl acetate",
        READ, ord_("1980_08/236"), ("hcl_1m",),
    ),
    Worked(
        "silyl alkyne and THP ether after acetic acid", "C[Si](C)(C)C#CCOC1CCCCO1", ("acetic acid; 15 mmol",), ETHER,
        ("base",), ("acid", "hydroxide"), "hydrogen carbonate takes the acid of the quench; acid would open the acetal",
        READ, ord_("1980_08/634"), ("nahco3_5", "brine"),
    ),
    Worked(
        "aminocephem after phosphorus pentachloride", "NC1C(=O)N2C(C(=O)OC(c3ccccc3)c3ccccc3)=C(C=C(Br)Br)CS[C@H]12",
        ("PCl5; 5 mmol", "pyridine; 5 mmol"), DCM, ("set above 7 or base", "caution hydrogen chloride"), ("acid", "hydroxide"),
        "the amine is set free with mild base", READ, ord_("1986_09/194"), ("nahco3_sat", "brine"),
    ),
    Worked(
        "nitrile alkylated with methyl iodide", "COc1ccc(C(C)C#N)cc1", ("n-BuLi; 1 mmol", "methyl iodide; 40 mmol"), THF,
        ("quench ammonium chloride", "caution carcinogens"), ("hydroxide",), "ammonium chloride ends the base, the iodide goes off",
        READ, ord_("1986_09/429"), ("nh4cl_sat", "brine"),
    ),
    Worked(
        "biaryl by a palladium coupling", "COc1ccc(-c2ccccc2-c2nnnn2C(C)(C)C)cc1",
        ("Pd(PPh3)4; 0.5 mmol", "Na2CO3; 20 mmol"), "toluene", ("uses nac",), ("hydroxide",),
        "a thiol binds palladium, and not all of it", READ, ord_("1995_11/516") + ", aryl changed",
        ("nahco3_sat",),
    ),
    Worked(
        "oxetane aldehyde by Swern oxidation", "CCCC1(C=O)COC1", ("Et3N; 40 mmol", "DMSO; 20 mmol"), DCM, ("acid side",),
        ("hydroxide", "carbonate"), "a buffer or weak acid takes the amine, the oxetane stands it", READ, ord_("1995_11/770"),
        ("nahco3_sat", "brine"),
    ),
    Worked(
        "tosyl azide", "Cc1ccc(S(=O)(=O)N=[N+]=[N-])cc1", ("sodium azide; 1 mmol",), "ethanol",
        ("caution explode when heated", "caution hydrazoic acid"), ("acid", "uses hcl_1m"), "mild base only, nothing hot",
        READ, ord_("1995_11/872"), ("water",),
    ),
    Worked(
        "thiochroman acid after zinc in base", "CCCOC1CCS(=O)(=O)c2ccc(C(=O)O)c(C)c21", ("zinc; 5 mmol", "KOH; 15 mmol"), "ethanol",
        ("filter", "set below 7", "strips ethanol", "caution diatomaceous"), ("base wash",), "filter, strip, acidify, extract",
        READ, ord_("1995_11/934"), ("hcl_01m", "brine"),
    ),
    Worked(
        "aldehyde by nitroxyl and bleach", "O=CC1CCCCCCCCCCC1", ("NaOCl; 5 mmol", "TEMPO; 0.3 mmol", "NaBr; 5 mmol"), DCM,
        ("reductant",), ("acid", "uses na2so3_10", "uses nahso3_sat"), "thiosulfate and no sulfite, which adds to the aldehyde",
        READ, ord_("1995_11/1028"), ("na2s2o3_10", "nahco3_sat", "water"),
    ),
    Worked(
        "malonate from sodium hydride in DMF", "CCOC(=O)CC(=O)OCc1cccc(C(=O)c2ccc(Cl)cc2)c1", ("sodium hydride; 3 mmol",), DMF,
        ("quench", "caution hydrogen", "caution runs away"), ("hydroxide",), "excess hydride in DMF is quenched cold",
        READ, ord_("1976_01/642"), ("water",),
    ),
    Worked(
        "diol by asymmetric dihydroxylation", "N#CCC1(O)CCCCC1O", ("OsO4; 0.05 mmol",), "tert-butanol",
        ("reductant", "caution blinds"), ("acid",), "sulfite for the osmium, then many extractions",
        READ, "Catalysts for Fine Chemical Synthesis, volume 1, page 106 (page image of a digital library): sodium metabisulfite",
    ),
    Worked(
        "diol by osmium and N-oxide", "OC(c1ccccc1)C(O)Cc1ccccc1", ("OsO4; 0.1 mmol", "NMO; 10 mmol"), "acetone",
        ("uses na2so3_10", "strips acetone"), ("hydroxide",), "five equivalents of sulfite, two hours, then the solvent off",
        READ, "A route to carbasugar analogues, thesis, general procedure 5 (yumpu document 28854734)",
    ),
    Worked(
        "styrene after tributyltin chloride", "C=Cc1ccc(OC)cc1", ("Bu3SnCl; 10 mmol",), ETOAC,
        ("uses kf_10", "caution diatomaceous"), ("bleach",), "fluoride makes a solid at the interface: filter",
        READ, "Work up tips (studylib 8336502): organotin halides",
    ),
    Worked(
        "amide after a Staudinger reaction", "CCCCNC(=O)c1ccccc1", ("triphenylphosphine oxide; 10 mmol",), ETOAC,
        ("says zinc chloride",), ("acid", "base"), "no wash takes the oxide; zinc chloride brings it down from ethanol",
        READ, "Batesky, Goldfogel and Weix, J. Org. Chem. 2017, 82, 9931 (open text)",
    ),
    Worked(
        "small organic azide", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide; 5 mmol",), DMF,
        ("caution no distillation", "caution not above 1 M", "caution bottles of their own"), ("acid",),
        "never hot, never concentrated, no chlorinated solvent", READ,
        "Stanford University, Environmental Health and Safety, Information on Azide Compounds",
    ),
    Worked(
        "alcohol from acetonitrile", "OCCCCc1ccccc1", ("benzoic acid; 2 mmol",), "acetonitrile", ("strips acetonitrile", "base"),
        ("acid", "hydroxide"), "stripped before any water comes", READ, "Workup Notes (scribd 35882439): tricky reaction solvents",
    ),
    # --- recalled ----------------------------------------------------------------------------------------------
    Worked(
        "isopentyl acetate", "CC(=O)OCCC(C)C", ("acetic acid; 30 mmol", "sulfuric acid; 1 mmol"), ETHER,
        ("base", "caution carbon dioxide"), ("hydroxide",), "hydrogen carbonate until the gas stops",
        RECALLED, "Williamson, Macroscale and Microscale Organic Experiments, esterification",
    ),
    Worked(
        "tert-butyl chloride", "CC(C)(C)Cl", ("HCl; 20 mmol", "tert-butanol; 1 mmol"), ETHER, ("base",),
        ("hydroxide",), "hydrogen carbonate briefly; hydroxide eliminates", RECALLED, "Vogel, Practical Organic Chemistry",
    ),
    Worked(
        "Cannizzaro alcohol", "OCc1ccccc1", ("benzaldehyde; 1 mmol", "sodium benzoate; 10 mmol"), ETHER,
        ("uses nahso3_sat",), (), "bisulfite takes the aldehyde, water or base the benzoate", RECALLED,
        "Vogel, Practical Organic Chemistry, Cannizzaro reaction",
    ),
    Worked(
        "acid, amine and neutral", "c1ccc2ccccc2c1", ("benzoic acid; 10 mmol", "Cc1ccc(N)cc1; 10 mmol"), ETHER,
        ("acid", "base", "left c1 1 %", "left c2 1 %"), (), "acid takes the base, base the acid", RECALLED,
        "Williamson, Macroscale and Microscale Organic Experiments, extraction",
    ),
    Worked(
        "stilbene by a Wittig reaction", "c1ccc(/C=C/c2ccccc2)cc1", ("triphenylphosphine oxide; 10 mmol",), DCM,
        ("says hexane",), (), "no wash takes the oxide", RECALLED, "Batesky, Goldfogel and Weix, J. Org. Chem. 2017, 82, 9931",
    ),
    Worked(
        "arene after a stannane coupling", "COc1ccc(-c2ccccc2)cc1", ("tributyltin chloride; 10 mmol",), ETHER,
        ("uses kf_10", "caution toxic"), (), "fluoride makes an insoluble tin fluoride", RECALLED,
        "Leibner and Jacobus, J. Org. Chem. 1979, 44, 449",
    ),
    Worked(
        "silyl ether after a stannane coupling", "C[Si](C)(C)OCCc1ccc(-c2ccccc2)cc1", ("tributyltin chloride; 5 mmol",), ETHER,
        ("says acetonitrile",), ("uses kf_10",), "fluoride would take the silyl group", RECALLED,
        "Harrowven and Guy, Chem. Commun. 2004, 1968",
    ),
    Worked(
        "aldehyde by periodinane", "O=CCCCc1ccccc1", ("Dess-Martin periodinane; 2 mmol",), DCM,
        ("reductant", "base"), ("hydroxide", "uses nahso3_sat", "uses na2so3_10"),
        "thiosulfate in hydrogen carbonate; sulfite would add to the aldehyde", RECALLED,
        "Dess and Martin, J. Org. Chem. 1983, 48, 4155",
    ),
    Worked(
        "TBS ether out of DMF", "CC(C)(C)[Si](C)(C)OCCc1ccccc1", ("imidazole; 15 mmol", "TBSCl; 1 mmol"), DMF,
        ("left c1 1 %", "left s1 2 %"), ("uses hcl_6m", "uses kf_10"), "water and weak acid", RECALLED,
        "Corey and Venkateswarlu, J. Am. Chem. Soc. 1972, 94, 6190", ("nh4cl_sat", "citric_10", "nahco3_sat"),
    ),
    Worked(
        "N-acyl amine by Schotten and Baumann", "O=C(NCCCC)c1ccccc1", ("benzoyl chloride; 2 mmol", "CCCCN; 1 mmol"), ETHER,
        ("acid", "caution lachrymator"), (), "base destroys the chloride, acid takes the amine", RECALLED,
        "Vogel, Practical Organic Chemistry, benzoylation",
    ),
    Worked(
        "nitroarene", "Cc1ccc([N+](=O)[O-])cc1", ("nitric acid; 20 mmol", "sulfuric acid; 60 mmol"), DCM,
        ("base", "caution vented", "quench ice"), (), "onto ice, then hydrogen carbonate", RECALLED,
        "Vogel, Practical Organic Chemistry",
    ),
    Worked(
        "acid by saponification", "O=C(O)c1ccc(OCc2ccccc2)cc1", ("sodium hydroxide; 30 mmol", "benzyl alcohol; 10 mmol"),
        "methanol",
        ("set below 7", "recovers 90 %"), (), "the neutrals are rinsed out of the base, then the acid is set free", RECALLED,
        "Vogel, Practical Organic Chemistry, saponification",
    ),
    Worked(
        "palladium with N-acetylcysteine", "COc1ccc(-c2ccccc2)cc1", ("palladium acetate; 0.2 mmol", "OB(O)c1ccccc1; 1 mmol"), ETOAC,
        ("uses nac", "left c2 1 %"), (), "thiols hold palladium, base the boronic acid", RECALLED,
        "Lennox and Lloyd-Jones, Chem. Soc. Rev. 2014, 43, 412 (boronic acid)",
    ),
    Worked(
        "azide and dichloromethane", "[N-]=[N+]=NCCCCc1ccccc1", ("sodium azide; 5 mmol",), DCM,
        ("caution azidomethanes",), ("acid", "strips dichloromethane"), "azidomethanes explode when they are concentrated",
        RECALLED, "Treitler and Leung, J. Org. Chem. 2022, 87, 11293",
    ),
    # --- common practice ---------------------------------------------------------------------------------------
    Worked(
        "dipeptide by EDCI and HOBt", "CC(C)(C)OC(=O)NC(Cc1ccccc1)C(=O)NCC(=O)OCC", ("EDCI; 2 mmol", "HOBt; 10 mmol",
        "DIPEA; 20 mmol"),
        DCM, ("acid side", "base"), ("uses hcl_10pct", "hydroxide"), "mild acid, then hydrogen carbonate", PRACTICE, "",
    ),
    Worked(
        "amide by HATU in DMF", "O=C(NCCc1ccccc1)c1ccc(Cl)cc1", ("HATU; 1 mmol", "HOAt; 10 mmol", "DIPEA; 20 mmol"), DMF,
        ("acid side", "left s1 2 %"), (), "water takes DMF, acid the amine", PRACTICE, "",
    ),
    Worked(
        "Fmoc amino acid", "O=C(O)C(Cc1ccccc1)NC(=O)OCC1c2ccccc2-c2ccccc21", ("Et3N; 5 mmol",), ETOAC, ("acid side",),
        ("ammonia", "base wash"), "no amine and no base on Fmoc", PRACTICE, "",
    ),
    Worked(
        "Fmoc amine ester with diethylamine left", "COC(=O)C(C)NC(=O)OCC1c2ccccc2-c2ccccc21", ("Et3N; 12 mmol",), DCM,
        ("acid",), ("ammonia", "hydroxide", "carbonate"), "acid, which Fmoc stands", PRACTICE, "",
    ),
    Worked(
        "vicinal diol by osmium", "OCC(O)CCc1ccc(Cl)cc1", ("OsO4; 0.1 mmol", "NMO; 5 mmol"), ETOAC,
        ("quench sulfite", "caution blinds"), (), "sulfite reduces the osmate to a black solid", PRACTICE, "",
    ),
    Worked(
        "ketone after PCC", "O=C(C)c1ccc(Br)cc1", ("PCC; 10 mmol",), DCM, ("quench isopropanol", "acid", "caution carcinogen"), (),
        "isopropanol, filter, and acid for the pyridine that is left", PRACTICE, "",
    ),
    Worked(
        "amine after reductive amination", "CN(Cc1ccccc1)Cc1ccccc1", ("sodium cyanoborohydride; 10 mmol",), "methanol",
        ("caution hydrogen cyanide", "quench carbonate"), ("acid", "uses nh4cl_sat"),
        "before it is washed out: hydrogen cyanide", PRACTICE, "",
    ),
    Worked(
        "amine after triacetoxyborohydride", "C1CCN(CC1)Cc1ccccc1", ("sodium triacetoxyborohydride; 10 mmol",), DCM,
        ("quench bicarbonate", "set above 7 or base"), ("acid",), "base sets it free, acetic acid stays in the water",
        PRACTICE, "",
    ),
    Worked(
        "aldehyde product and peracid", "O=Cc1ccc(C2CO2)cc1", ("mCPBA; 2 mmol",), DCM, ("reductant", "base"),
        ("uses na2so3_10", "uses nahso3_sat", "acid"), "thiosulfate, since sulfite adds to aldehydes", PRACTICE, "",
    ),
    Worked(
        "THP ether and pyridine", "CCCCCCCCOC1CCCCO1", ("pyridine; 12 mmol",), DCM, ("left c1 1 %",), ("uses hcl_1m",
        "uses hcl_10pct"),
        "copper sulfate or a weak acid", PRACTICE, "",
    ),
    Worked(
        "enol ether and triethylamine", "C=COCCCCCCc1ccccc1", ("Et3N; 12 mmol",), ETHER, ("dries na2so4 or k2co3",),
        ("uses hcl_1m", "uses citric_10", "uses khso4_1m"), "nothing below pH 4 or so", PRACTICE, "",
    ),
    Worked(
        "dioxolane and aluminium chloride", "O=C(C)c1ccc(CCC2OCCO2)cc1", ("aluminium chloride; 12 mmol",), DCM,
        ("quench Rochelle",), ("quench HCl", "uses hcl_1m"), "acid would take the acetal", PRACTICE, "",
    ),
    Worked(
        "orthoester", "COC(OC)(OC)CCc1ccccc1", ("benzoic acid; 0.3 mmol",), ETHER, ("base",), ("acid", "dries mgso4"),
        "the most acid-sensitive of all", PRACTICE, "",
    ),
    Worked(
        "secondary alcohol with triphosgene left", "O=C(OC)NCCc1ccccc1", ("triphosgene; 1 mmol",), DCM,
        ("caution phosgene",), ("quench Rochelle",), "base in excess, off-gas through hydroxide", PRACTICE, "",
    ),
    Worked(
        "alcohol by hydroboration beside an ester", "COC(=O)CCCCCO", ("9-BBN; 3 mmol",), THF, ("quench perborate",),
        ("quench NaOH",),
        "hydroxide would saponify", PRACTICE, "",
    ),
    Worked(
        "fluoride after DAST", "FCCCc1ccccc1", ("DAST; 3 mmol",), DCM, ("quench bicarbonate", "caution calcium gluconate"), (),
        "into cold hydrogen carbonate, never water into it", PRACTICE, "",
    ),
    Worked(
        "alcohol after TBAF", "OCCCc1ccc(Cl)cc1", ("TBAF; 12 mmol",), THF, (), ("extracts dichloromethane",),
        "dichloromethane holds the tetrabutylammonium", PRACTICE, "",
    ),
    Worked(
        "triazole by copper catalysis", "c1ccc(CCn2cc(-c3ccccc3)nn2)cc1", ("CuSO4; 1 mmol", "sodium azide; 2 mmol"), ETOAC,
        ("uses nh4cl_nh3", "caution azide explodes"), ("acid",), "copper and azide in one flask", PRACTICE, "",
    ),
    Worked(
        "cyanohydrin silyl ether", "C[Si](C)(C)OC(C#N)CCc1ccccc1", ("TMSCN; 3 mmol",), DCM, ("caution hydrogen cyanide",),
        ("acid", "uses nahco3_sat"), "the cyanide stays in base", PRACTICE, "",
    ),
    Worked(
        "amide with a dithiol", "CC(=O)Nc1ccc(OC)cc1", ("ethanedithiol; 3 mmol",), DCM, ("hydroxide", "caution stench",
        "caution bleach"),
        (), "hydroxide, and bleach only in the separated water", PRACTICE, "",
    ),
    Worked(
        "phenol and a carboxylic acid", "Cc1ccc(O)c(C(C)(C)C)c1", ("benzoic acid; 3 mmol",), ETOAC, ("uses nahco3_sat",),
        ("hydroxide", "carbonate"), "hydrogen carbonate tells them apart", PRACTICE, "",
    ),
    Worked(
        "lauric acid out of an ether", "COCCc1ccccc1", ("CCCCCCCCCCCC(=O)O; 3 mmol",), ETHER, ("caution soap",), (),
        "a soap: swirl, do not shake", PRACTICE, "",
    ),
    Worked(
        "chloroform and hydroxide", "COCCc1ccccc1", ("phenol; 3 mmol",), "chloroform", ("caution chloroform and",), (),
        "dichlorocarbene and heat", PRACTICE, "",
    ),
    Worked(
        "acid chloride as product", "O=C(Cl)CCc1ccccc1", ("pyridine; 1 mmol",), DCM, ("refused",), (), "no water at all",
        PRACTICE, "",
    ),
    Worked(
        "amino acid", "NC(Cc1ccccc1)C(=O)O", ("acetophenone; 1 mmol",), ETOAC, ("refused isoelectric",), (),
        "a zwitterion leaves the water at no pH", PRACTICE, "",
    ),
    Worked(
        "sugar", "OCC1OC(OC)C(O)C(O)C1O", ("acetophenone; 1 mmol",), ETOAC, ("says recrystallise",),
        ("uses water", "uses brine", "acid", "base"), "it belongs to the water, so no water touches it", PRACTICE, "",
    ),
    Worked(
        "benzyl ether with benzyl bromide left", "CCCCCCOCc1ccccc1", ("benzyl bromide; 3 mmol",), ETHER,
        ("says morpholine", "caution lachrymator"), (), "no wash takes it; an amine does", PRACTICE, "",
    ),
]  # fmt: skip

ROWS = table(Solution)
HYDROXIDE_PH = 12.5


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan | str]:
    return {}


def made(case: Worked, plans: dict[str, Plan | str]) -> Plan | str:
    if case.name not in plans:
        mixture = build(
            case.product,
            [read_other(o) for o in case.others],
            product_amount="10 mmol",
            solvents=[(case.solvent, 40.0)],
        )
        try:
            plans[case.name] = make_plan(mixture, draws=8)
        except PlanRefused as refused:
            plans[case.name] = str(refused)
    return plans[case.name]


def holds(plan: Plan, word: str) -> bool:
    """Tell whether a plan holds what a word of a case says."""
    head, _, rest = word.partition(" ")
    washes = [ROWS[s.solution] for s in plan.steps if s.action == "wash" and s.solution]
    liquids = washes + [ROWS[s.solution] for s in plan.steps if s.action in ("take up", "quench") and s.solution]
    phs = [s.target_ph for s in plan.steps if s.target_ph is not None]
    quenches = " ".join(s.instruction for s in plan.steps if s.action == "quench")
    if word == "acid":
        return any(w.acts_as == "acid" for w in washes)
    if word == "acid side":
        return any(w.ph < 7.1 and w.acts_as in ("acid", "buffer", "complexing") for w in washes)
    if word in ("base", "base wash"):
        return any(w.acts_as == "base" or (w.acts_as == "buffer" and w.ph > 7.5) for w in washes)
    if word == "set above 7 or base":
        return holds(plan, "base") or any(ph > 7 for ph in phs)
    if word in ("hydroxide", "carbonate"):
        limit = HYDROXIDE_PH if word == "hydroxide" else 9.5
        return any(w.ph >= limit for w in liquids if w.acts_as == "base")
    if word == "reductant":
        return any(w.acts_as == "reductant" for w in liquids)
    if word in ("oxidant", "bleach"):
        return any(w.acts_as == "oxidant" for w in liquids)
    if word == "ammonia":
        return any(w.weak_system == "ammonia" and w.ph > 8 for w in liquids)
    if head == "quench":
        return rest.casefold() in quenches.casefold()
    if head == "caution":
        return any(rest in c.text for c in plan.cautions)
    if head == "says":
        told = " ".join(n.instead for n in plan.not_removed)
        return not told if rest == "nothing" else rest in told
    if head == "uses":
        return any(w.id == rest for w in liquids)
    if head == "dries":
        return any(s.desiccant in rest.split(" or ") for s in plan.steps if s.desiccant)
    if head == "extracts":
        return plan.extraction == rest
    if head == "strips":
        return any(s.action == "evaporate" and rest in s.instruction for s in plan.steps)
    if head == "left":
        who, percent = rest.split()[:2]
        return plan.left[who][1] <= float(percent) / 100
    if head == "recovers":
        return plan.recovered[1] >= float(rest.split()[0]) / 100
    if word == "filter":
        return any(s.action == "filter" for s in plan.steps)
    if word == "changes layer":
        return any(s.action == "take up" for s in plan.steps)
    if head == "set":
        return any(ph < 7 if rest == "below 7" else ph > 7 for ph in phs)
    raise AssertionError(f"no such word: {word}")


def shown(plan: Plan) -> str:
    return "\n".join(
        [*(f"{s.number}. {s.instruction} ({s.reason})" for s in plan.steps)]
        + [f"caution: {c.text}" for c in plan.cautions]
        + [f"stays: {n.text}" for n in plan.not_removed]
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_plan_holds_what_the_source_does(case: Worked, plans: dict[str, Plan | str]) -> None:
    plan = made(case, plans)
    refusals = [w for w in case.must if w.startswith("refused")]
    if isinstance(plan, str):
        assert refusals and all(w.partition(" ")[2] in plan for w in refusals), plan
        return
    assert not refusals
    assert [w for w in case.must if not holds(plan, w)] == [], f"missing; {case.why}\n{shown(plan)}"
    assert [w for w in case.must_not if holds(plan, w)] == [], f"there; {case.why}\n{shown(plan)}"


@pytest.mark.parametrize("case", [c for c in CASES if c.used], ids=lambda case: case.name)
def test_what_the_source_used_is_not_called_harmful(case: Worked, plans: dict[str, Plan | str]) -> None:
    plan = made(case, plans)
    assert not isinstance(plan, str)
    # A solution that was not under consideration is judged by its milder or stronger neighbour of the same kind.
    against = [
        f"{fact['solution']} {fact['how']}: {plan.known[i].reasons[0].text}"
        for i, fact in plan.facts_of(f.Harms)
        if fact["solution"] in (*case.used, *(NEIGHBOUR[s] for s in case.used if s in NEIGHBOUR))
    ]
    assert against == []


NEIGHBOUR = {
    "hcl_5pct": "hcl_1m",
    "hcl_05m": "hcl_01m",
    "khso4_5": "khso4_1m",
    "khso4_10": "khso4_1m",
    "nahco3_5": "nahco3_sat",
}


def test_there_are_enough_and_each_says_where_it_is_from() -> None:
    assert len(CASES) >= 60 and len({c.name for c in CASES}) == len(CASES)
    kinds = Counter(c.kind for c in CASES)
    assert kinds[READ] >= 36 and kinds[READ] + kinds[RECALLED] >= 50
    assert all(bool(c.source) == (c.kind != PRACTICE) and c.why for c in CASES)
