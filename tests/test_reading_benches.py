"""Whole workups from many benches, and what they are read as.

Instructions that charge and drain, notes that end a hydride, old journals, terse
notebooks, English that is not the writer's own, French, German and Spanish.
"""

from __future__ import annotations

import pytest
from readings import check_whole

# text, steps, whether something of it is listed as not read.
WORKUPS = (
    (
        "Ether 50 mL. water 20 mL, 1 M NaOH 20 mL, water 20 mL. MgSO4, filter, evaporate.",
        "extract diethyl_ether 50 | wash water 20 | wash naoh_1m 20 | wash water 20 | dry mgso4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "Cool in ice, dropwise 0.2 mL water, 0.2 mL 15 % NaOH, 0.6 mL water; MgSO4; filter; evaporate.",
        "quench water 0.2 | quench naoh_15pct 0.2 | quench water 0.6 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Dilute with ether 50 mL. Charge 10 % citric acid (30 mL). Agitate, settle, drain lower layer. Charge "
        "brine (20 mL), agitate, settle, drain lower layer. Distil to dryness.",
        "dilute diethyl_ether 50 | wash citric_10 30 | wash brine 20 | concentrate",
        False,
    ),
    (
        "Add 20 mL of 1 M HCl, shake, drain the lower layer. Extract it with 20 mL of ether. Brine, MgSO4, evaporate.",
        "dilute hcl_1m 20 | extract diethyl_ether 20 | wash brine | dry mgso4 | concentrate",
        False,
    ),
    (
        "Diluted with ether, washed with water. Would strip off the THF first in future. MgSO4, filtered, evaporated.",
        "dilute diethyl_ether | wash water | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Quench w MeOH dropwise at 0. conc. take up EtOAc 50, 1 M HCl 20, NaHCO3 20, brine, Na2SO4, conc",
        "quench methanol | dilute ethyl_acetate 50 | wash hcl_1m 20 | wash nahco3_sat 20 | wash brine | dry "
        "na2so4 | concentrate",
        False,
    ),
    (
        "Na2SO4.10H2O added portionwise till gas stops, filter thru Celite, conc carefully",
        "quench water | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Diluted with ether (40 mL), drop 1 M HCl (10 mL) slowly, wash with brine. Na2SO4; solvent off.",
        "dilute diethyl_ether 40 | dilute hcl_1m 10 | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "Pour off into funnel with 40 mL ether. Stir with 10 % KF (20 mL). Separate, wash with water and "
        "brine, dry Na2SO4, rotavap.",
        "dilute diethyl_ether 40 | wash kf_10 20 | wash water | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "Diluted with EtOAc (50 mL). Stirred vigorously with sat. Rochelle salt (50 mL) until two clear "
        "layers, 2 h. Org layer washed with brine, dried (MgSO4), conc.",
        "dilute ethyl_acetate 50 | wash rochelle_sat 50 | wash brine | dry mgso4 | concentrate",
        False,
    ),
    (
        "The cooled reaction was treated dropwise with 0.5 mL water, 0.5 mL 15 % NaOH, 1.5 mL water, stirred "
        "15 min, MgSO4, filter through Celite, rinse with ether, conc.",
        "quench water 0.5 | quench naoh_15pct 0.5 | quench water 1.5 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "LAH quench (Fieser): cool to 0 °C, dilute w/ ether; 1 mL H2O, 1 mL 15% NaOH, 3 mL H2O. warm to rt, "
        "stir 15 min. MgSO4, stir 15 min, filter, evap.",
        "dilute diethyl_ether | quench water 1 | quench naoh_15pct 1 | quench water 3 | dry mgso4 | filter "
        "off desiccant | concentrate",
        False,
    ),
    (
        "Ether 40 mL. x mL water, x mL 15 % NaOH, 3x mL water (x = g LAH). Filter salts, rinse ether, Na2SO4, evap.",
        "extract diethyl_ether 40 | quench water | quench naoh_15pct | quench water | filter | dry na2so4 | "
        "concentrate",
        False,
    ),
    (
        "Fieser workup: 0.38 mL H2O, 0.38 mL 15% NaOH, 1.1 mL H2O; filter; conc.",
        "quench water 0.38 | quench naoh_15pct 0.38 | quench water 1.1 | filter | concentrate",
        False,
    ),
    (
        "n mL water, n mL 15% NaOH, 3n mL water. Filter.",
        "quench water | quench naoh_15pct | quench water | filter",
        False,
    ),
    (
        "Es wurde mit 50 ml Essigester verdünnt, dreimal mit je 20 ml 1 N Salzsäure, dann mit ges. "
        "Natriumhydrogencarbonatlösung und Kochsalzlösung gewaschen, über Natriumsulfat getrocknet und "
        "eingeengt.",
        "dilute ethyl_acetate 50 | wash hcl_1m 3x20 | wash nahco3_sat | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "After finish the reaction, we add water 50 ml and extract by ethyl acetate three times (30 ml for "
        "each). The organic phase is wash by saturated NaHCO3, after by brine, and dry on Na2SO4. Solvent is "
        "remove by rotary evaporator.",
        "dilute water 50 | extract ethyl_acetate 3x30 | wash nahco3_sat | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "SOP-114 rev 2\n4.1 Charge MTBE (5 vol) and water (3 vol) to the reactor. Agitate NLT 15 min. Settle "
        "NLT 30 min.\n4.2 Drain the lower aqueous layer to waste.\n4.3 Charge 10 % w/w citric acid (3 vol). "
        "Agitate 10 min, settle, drain lower layer.\n4.4 Repeat 4.3.\n4.5 Charge 7 % w/w sodium bicarbonate (3 "
        "vol), agitate, settle, drain lower layer.\n4.6 Charge 20 % w/w brine (2 vol), agitate, settle, drain "
        "lower layer.\n4.7 Distil to 3 vol under vacuum at NMT 40 °C.",
        "dilute water+mtbe 3vol | wash citric_10 2x3vol | wash nahco3_sat 3vol | wash half_brine 2vol | concentrate",
        True,
    ),
    (
        "The reaction mixture was decomposed with ice and hydrochloric acid, the ethereal layer separated, "
        "the aqueous portion extracted thrice with ether, the united ethereal solutions washed with bisulfite "
        "solution, bicarbonate, and water, dried over Drierite, and the ether removed on the steam bath.",
        "quench hcl_1m | extract diethyl_ether 3x | wash nahso3_sat | wash nahco3_sat | wash water | dry "
        "caso4 | concentrate",
        False,
    ),
    (
        "Put it on ice. HCl 2N bis pH 1. Ausethern 3 x 20 mL. Etherphase mit Wasser und NaCl-Lsg waschen. "
        "Na2SO4. Einengen.",
        "set ph hcl_2m pH2 | extract diethyl_ether 3x20 | wash water | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "On verse sur de la glace, on extrait à l'éther (3 x 30 mL), on lave avec HCl 1 M, puis NaHCO3 "
        "saturé, puis saumure. On sèche sur MgSO4, on filtre, on évapore.",
        "quench ice_water | extract diethyl_ether 3x30 | wash hcl_1m | wash nahco3_sat | wash brine | dry "
        "mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Worked up: H2O/EtOAc. Org. phase: 5% KHSO4 (2x), H2O, 5% NaHCO3 (2x), brine; Na2SO4; i. vac.",
        "dilute water+ethyl_acetate | wash khso4_5 2x | wash water | wash nahco3_5 2x | wash brine | dry "
        "na2so4 | concentrate",
        False,
    ),
    (
        "After complete, reaction mass was quenched in ice water 100 ml and extracted with ethyl acetate 2 × "
        "50 ml. Combined organic layer was given washing of brine solution 50 ml, dried on sodium sulphate "
        "and distilled under vacuum to get crude.",
        "quench ice_water 100 | extract ethyl_acetate 2x50 | wash brine 50 | dry na2so4 | concentrate",
        False,
    ),
    (
        "Poured the lot into a beaker of crushed ice. Took the oil up in ether, shook it with dilute "
        "hydrochloric acid, then with dilute caustic soda, then with water till neutral. Dried it over "
        "calcium chloride. Ether distilled off from a water bath.",
        "quench ice_water | dilute diethyl_ether | wash hcl_1m | wash naoh_1m | wash water 3x | dry cacl2 | "
        "concentrate",
        False,
    ),
    (
        "MTBE/H2O cut. aq back-ext'd MTBE x2. pooled org 5% LiCl x3 (DMF). brine x1. MgSO4 → filt → rotovap → "
        "1.2 g yellow oil",
        "dilute water+mtbe | extract mtbe 2x | wash licl_5 3x | wash brine | dry mgso4 | filter off desiccant "
        "| concentrate",
        False,
    ),
    (
        "Step 1: Transfer to 250 mL sep funnel. Step 2: Add 30 mL 1 M HCl, shake, vent, drain lower layer "
        "into flask 1. Step 3: Add 30 mL sat'd NaHCO3, shake, vent (CO2!), drain lower. Step 4: Add 20 mL "
        "brine, shake, drain lower. Step 5: pour ether out the top into Erlenmeyer. Step 6: MgSO4, swirl, "
        "gravity filter. Step 7: evaporate on hot plate in hood.",
        "dilute hcl_1m 30 | wash nahco3_sat 30 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Reaction was monitor by TLC. When finish, cool in ice bath, slowly drop 1N HCl until pH 2-3, then "
        "extract by DCM for 3 times. Merge the organic phase, wash 1 time with saturated salt water, dry with "
        "anhydrous sodium sulfate, filter, spin dry.",
        "set ph hcl_1m pH2.5 | extract dichloromethane 3x | wash brine | dry na2so4 | filter off desiccant | "
        "concentrate",
        False,
    ),
    (
        "La mezcla se diluyó con acetato de etilo, se lavó con HCl 1 M (2 x 20 mL), NaHCO3 sat. y salmuera, "
        "se secó sobre MgSO4 y se evaporó.",
        "dilute ethyl_acetate | wash hcl_1m 2x20 | wash nahco3_sat | wash brine | dry mgso4 | concentrate",
        False,
    ),
    (
        "Extract the DCM soln with NaOH 1M 2x20mL to remove acid, set aside base layer for acidifying later. "
        "Wash DCM with brine 10mL. Dry w sodium sulfate. Rotovap.",
        "wash naoh_1m 2x20 | wash brine 10 | dry na2so4 | concentrate",
        False,
    ),
    (
        "The product was isolated by aqueous workup (1 M HCl, NaHCO3, brine), drying (MgSO4) and evaporation.",
        "wash hcl_1m | wash nahco3_sat | wash brine | dry mgso4 | concentrate",
        False,
    ),
    (
        "stirred org layer w/ 1 M KF (25 mL) 1 h, filtered off Bu3SnF thru Celite, sep, brine, Na2SO4, rv",
        "wash kf_1m 25 | filter | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "The crude in 50 mL toluene was stirred with 5% aq. cysteine (20 mL) for 1 h, phases separated, org "
        "washed with water and brine. Na2SO4. conc.",
        "dilute toluene 50 | wash cysteine_5 20 | wash water | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "Stir with 1 M HCl (30 mL) for 30 min, extract with EtOAc 3 x 20 mL, bicarb, brine, Na2SO4, conc.",
        "quench hcl_1m 30 | extract ethyl_acetate 3x20 | wash nahco3_sat | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "LAH quench (Fieser): cool to 0 °C, dilute w/ ether; 0.2 mL H2O, 0.2 mL 15% NaOH, 0.6 mL H2O. warm to "
        "rt, stir 15 min. MgSO4, stir 15 min, filter, evap.",
        "dilute diethyl_ether | quench water 0.2 | quench naoh_15pct 0.2 | quench water 0.6 | dry mgso4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "Organics over Na2SO4, stand 20 min, decant, strip.",
        "dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Combined the DCM extracts; 2x NaHCO3(sat), 1x brine; over Na2SO4; gravity filt; rotovap @ 30C",
        "wash nahco3_sat 2x | wash brine | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "The reaction mixture was evaporated to dryness, the residue was partitioned between EtOAc (100 mL) "
        "and 10% aq. K2CO3 (50 mL). The layers were separated and the aqueous was extracted with further "
        "EtOAc (2 x 50 mL). The combined organics were washed with brine, passed through a hydrophobic frit "
        "and reduced in vacuo.",
        "evaporate | dilute k2co3_10+ethyl_acetate 50 | extract ethyl_acetate 2x50 | wash brine | dry "
        "phase_separator | concentrate",
        False,
    ),
    (
        "Quench: 5 mL MeOH, then 20 mL water. Vac off MeOH. Extract 3 x 20 EtOAc. Dry/strip.",
        "quench methanol 5 | quench water 20 | concentrate | extract ethyl_acetate 3x20 | dry | concentrate",
        False,
    ),
    (
        "rxn (DCM) -> 1) 1N HCl 20mL 2) H2O 20mL 3) sat NaHCO3 20mL 4) brine 20mL; dry (Na2SO4), filter, evap",
        "wash hcl_1m 20 | wash water 20 | wash nahco3_sat 20 | wash brine 20 | dry na2so4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "EtOAc added. Washed: 10% citric acid ×2, H2O, sat. NaHCO3 ×2, H2O, brine. Dried MgSO4. Solvent off.",
        "dilute ethyl_acetate | wash citric_10 2x | wash water | wash nahco3_sat 2x | wash water | wash brine "
        "| dry mgso4 | concentrate",
        False,
    ),
    (
        "1.  Add 20 mL of 5% aqueous sodium bicarbonate to the reaction mixture and swirl until gas evolution "
        "stops.\n2.  Transfer to separatory funnel; shake; vent frequently.\n3.  Remove the lower aqueous "
        "layer.\n4.  Add 10 mL of 5% bicarb to the funnel and repeat.\n5.  Add 10 mL sat. NaCl; shake; remove "
        "the aqueous layer.\n6.  Transfer the organic layer to a dry flask; add ~1 g anhydrous Na2SO4.\n7.  "
        "Decant into a distilling flask.",
        "set ph nahco3_5 pH8 20 | wash nahco3_5 10 | wash brine 10 | dry na2so4 | filter off desiccant",
        False,
    ),
    (
        "Washed the organics sequentially with 1 M HCl (3 x 25 mL), 1 M NaOH (3 x 25 mL) and brine (25 mL). "
        "The organics were then dried by stirring over MgSO4 for 10 minutes before being filtered under "
        "gravity. Solvent was then removed under reduced pressure.",
        "wash hcl_1m 3x25 | wash naoh_1m 3x25 | wash brine 25 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "i.  DCM / water\nii. sep, keep DCM\niii. DCM + 2M HCl (2x)\niv. DCM + sat bicarb (1x)\nv. DCM + "
        "brine\nvi. Na2SO4\nvii. evap",
        "dilute water+dichloromethane | wash hcl_2m 2x | wash nahco3_sat | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "ether layer → 5% NaOH (2×10) → save aq (contains acid) → ether layer → brine → CaCl2",
        "wash naoh_5pct 2x10 | wash brine | dry cacl2",
        False,
    ),
    (
        "Transfer rxn to funnel, rinse flask w 10 mL DCM. 1M HCl 15 mL x2 -> aq to waste. NaHCO3 satd 15 x 2 "
        "(gas!). brine 15. MgSO4 5 min. filter (fluted paper), rinse 3x4 mL DCM. rotovap, weigh.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        True,
    ),
    (
        "After completion reaction mixture washed with 1N HCl soln. (15 mL x 2) followed by sat. NaHCO3 soln "
        "(15 mL x 2) and brine (15 mL). Organic layer dried over anhyd. Na2SO4, filtered and evaporated under "
        "reduced pressure to get title compound.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "The dichloromethane solution was shaken successively with two 15-cc. portions of N hydrochloric "
        "acid, two 15-cc. portions of saturated bicarbonate and 15 cc. of saturated brine, and after drying "
        "over magnesium sulfate the solvent was distilled.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | concentrate",
        False,
    ),
    (
        "i wash the dcm with hcl two times 15 ml each then bicarb two times 15 ml each then one time brine. i "
        "dry it with mgso4 and filter and take off the dcm with the rotovap",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Procedure: \na) Charge 1 M HCl (15 mL). Stir 5 min. Allow to separate 10 min. Draw off bottom organic "
        "layer, discard top aqueous. Recharge organic. Repeat once.\nb) Charge sat. NaHCO3 (15 mL), stir, "
        "separate, discard aqueous. Repeat once.\nc) Charge brine (15 mL), stir, separate.\nd) Dry over MgSO4; "
        "filter; concentrate.",
        "dilute hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        True,
    ),
    (
        "Washes (15 mL each): 1 M HCl x2, NaHCO3 x2, brine x1. Dry MgSO4. Filter. Strip.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Laver 2 fois avec HCl 1 M (15 mL), 2 fois avec NaHCO3 sat. (15 mL), 1 fois avec saumure (15 mL). "
        "Sécher sur MgSO4, filtrer, évaporer.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Die organische Phase 2x mit 15 mL 1 M HCl, 2x mit 15 mL ges. NaHCO3-Lsg und 1x mit 15 mL ges. "
        "NaCl-Lsg waschen, über MgSO4 trocknen, filtrieren, am Rotationsverdampfer einengen.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "有机相用1M HCl洗2次，饱和NaHCO3洗2次，盐水洗，MgSO4干燥，过滤，旋干。",
        "wash hcl_1m | wash nahco3_sat | dry mgso4",
        True,
    ),
    (
        "The organic portion is to be washed two (2) times with 15 mL of one-molar hydrochloric acid, two (2) "
        "times with 15 mL of saturated sodium bicarbonate, one (1) time with 15 mL of brine; it is then to be "
        "dried (magnesium sulfate), filtered, and stripped.",
        "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "first acid wash: 15 mL 1M HCl. second acid wash: 15 mL 1M HCl. first base wash: 15 mL sat NaHCO3. "
        "second base wash: same. brine wash 15 mL. dry, MgSO4. filter. evaporate DCM.",
        "wash hcl_1m 15 | wash hcl_1m 15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "Added 15 mL of 1M HCl to funnel and shook, drained DCM (bottom) into beaker, poured out the aqueous. "
        "Returned DCM to funnel, did this again with another 15 mL of HCl. Then twice with 15 mL NaHCO3 "
        "(sat). Once w/ brine. Dried with MgSO4, filtered, evaporated.",
        "dilute hcl_1m 15 | wash hcl_1m 15 | wash nahco3_sat 2x15 | wash brine | dry mgso4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "iPrOH till green. decant, evap acetone, ether 50, wash H2O 2x20, NaHCO3 20, brine; MgSO4, filt, evap",
        "quench isopropanol | concentrate | dilute diethyl_ether 50 | wash water 2x20 | wash nahco3_sat 20 | "
        "wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "10 % Na2SO3 until KI paper white, then NaHCO3 20, brine 20, MgSO4, filter, evap",
        "quench na2so3_10 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "water till neutral, brine, dry MgSO4",
        "wash water 3x | wash brine | dry mgso4",
        False,
    ),
    (
        "bicarb until no more gas; sep; brine; Na2SO4; filter; rv",
        "quench nahco3_sat | wash brine | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "quenched with Glauber's salt until no more gas evolved, stirred 30 min, filtered through Celite and "
        "concentrated",
        "quench water | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Take up EtOAc 50, water 20, sep, brine, MgSO4, filter, evap",
        "dilute water+ethyl_acetate 20 | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "Take up in EtOAc (50 mL) and 1 M HCl (20 mL), separate, wash with brine, dry, filter, evap",
        "dilute hcl_1m+ethyl_acetate 20 | wash brine | dry | filter off desiccant | concentrate",
        False,
    ),
    (
        "quench NH4Cl sat 20 mL @ -78, warm rt. Sep'n. aq ext'd 2x EtOAc. Comb'd org brine'd, dried, conc'd.",
        "quench nh4cl_sat 20 | extract ethyl_acetate 2x | dry | concentrate",
        True,
    ),
    (
        "1.0 N HCl (3 x 50 mL), H2O (50 mL), sat. aq. NaHCO3 (50 mL), brine (50 mL); Na2SO4; rotovap (30 °C, 20 torr).",
        "wash hcl_1m 3x50 | wash water 50 | wash nahco3_sat 50 | wash brine 50 | dry na2so4 | concentrate",
        False,
    ),
    (
        "We then added 20ml of ether into it and shaked, the water was at bottom so we throw it away. After "
        "that 10ml HCl 2M was given and shaked and again bottom part thrown. Same with NaHCO3 (10ml). At last "
        "NaCl solution. Drying with CaCl2, then ether evaporated.",
        "dilute diethyl_ether 20 | dilute hcl_2m 10 | wash nahco3_sat 10 | wash brine | dry cacl2 | concentrate",
        False,
    ),
    (
        "Pour into 100 g ice + 20 mL conc HCl. Extract CH2Cl2 (3×30). Combined org washed H2O, 5% NaOH, H2O. "
        "CaCl2. Filter. Distil.",
        "quench hcl_2m 120 | extract dichloromethane 3x30 | wash water | wash naoh_5pct | wash water | dry "
        "cacl2 | filter off desiccant | concentrate",
        False,
    ),
    (
        "TFA removed by co-evaporation with toluene (3x). Residue in DCM, sat NaHCO3, brine, Na2SO4, evap.",
        "evaporate | dilute dichloromethane | wash nahco3_sat | wash brine | dry na2so4 | concentrate",
        True,
    ),
    (
        "- quench: MeOH (2 mL), 0 °C\n- dilute: EtOAc 40, H2O 20\n- wash: 1N HCl 20; NaHCO3 20; brine 20\n- dry: "
        "Na2SO4\n- conc.",
        "quench methanol 2 | dilute water+ethyl_acetate 20 | wash hcl_1m 20 | wash nahco3_sat 20 | wash brine "
        "20 | dry na2so4 | concentrate",
        False,
    ),
)


@pytest.mark.parametrize(("text", "steps", "unread"), WORKUPS, ids=[row[0][:40] for row in WORKUPS])
def test_reads_a_whole_workup(text: str, steps: str, unread: bool) -> None:
    check_whole(text, steps, unread)
