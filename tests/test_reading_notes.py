"""Whole workups as students and notebooks write them, and what they are read as; written before the reader was tried on them."""

from __future__ import annotations

import pytest
from readings import check_whole

from washlore.rules.reading import read_plan

# id, text, steps, whether something of it is listed as not read.
WORKUPS = (
    (
        "1-cool-flask-in-ice",
        "1. cool flask in ice\n2. add 20mL of sat ammonium chloride SLOWLY\n3. pour into sep funnel, rinse "
        "flask w/ 10 mL ether into the funnel\n4. drain aq\n5. repeat with brine\n6. dry ether over Na2SO4 "
        "10 min\n7. gravity filter into tared rbf\n8. rotovap",
        "dilute nh4cl_sat 20 | wash brine | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "first-i-would-take-the",
        "First I would take the mixture and put it in the separatory funnel along with 25 mL of water "
        "and 25 mL of DCM. I would shake and vent and let it separate. I'd keep the DCM layer because "
        "it's on the bottom. Next I'd do two washes with 10% HCl to protonate the amine and then one "
        "with water. After drying with sodium sulfate I'd decant and evaporate the DCM.",
        "dilute water+dichloromethane 25 | wash hcl_10pct 2x | wash water | dry na2so4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "etoac-50-h2o-50-sep",
        "EtOAc 50 / H2O 50. sep. aq reext EtOAc 2x25. comb org: 1N HCl 25, bicarb 25, brine 25. MgSO4. filt. rotovap.",
        "dilute water+ethyl_acetate 50 | extract ethyl_acetate 2x25 | wash hcl_1m 25 | wash nahco3_sat "
        "25 | wash brine 25 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "dilute-w-40-ml-et2o",
        "- [ ] Dilute w/ 40 mL Et2O\n- [ ] Wash: H2O 2 × 20 mL\n- [ ] Wash: 5 % citric acid 1 × 20 mL\n- [ "
        "] Wash: sat. NaHCO3 1 × 20 mL\n- [ ] Wash: brine 1 × 20 mL\n- [ ] Dry (MgSO4, 1 g), filter, rinse "
        "2 × 3 mL Et2O\n- [ ] Rotovap 40 °C / 600 mbar",
        "dilute diethyl_ether 40 | wash water 2x20 | wash citric_5 20 | wash nahco3_sat 20 | wash brine "
        "20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "the-organic-layer-will-be",
        "the organic layer will be washed with 15 ml of sodium hydroxide solution (1 molar) three times, "
        "after that it will be washed with saturated salt solution once. it will then be dried using "
        "anhydrous magnesium sulfate, the drying agent will be filtered off and the solvent will be "
        "evaporated",
        "wash naoh_1m 3x15 | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "quench-w-meoh-5ml-dil",
        "quench w MeOH (5ml) -> dil w DCM 30 -> sat NaK tartrate 30ml stir 1h -> sep -> aq extr DCM 2x20 "
        "-> org brine 20 -> Na2SO4 -> filter -> conc",
        "quench methanol 5 | dilute dichloromethane 30 | wash rochelle_sat 30 | extract "
        "dichloromethane 2x20 | wash brine 20 | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "reaktionsgemisch-auf-50-ml-eiswasser",
        "Reaktionsgemisch auf 50 mL Eiswasser gießen, mit Ethylacetat (3 × 30 mL) extrahieren, "
        "vereinigte organische Phasen mit gesättigter NaHCO3-Lösung (30 mL) und gesättigter NaCl-Lösung "
        "(30 mL) waschen, über Na2SO4 trocknen, filtrieren und am Rotationsverdampfer einengen.",
        "quench ice_water 50 | extract ethyl_acetate 3x30 | wash nahco3_sat 30 | wash brine 30 | dry "
        "na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "i-d-wash-the-ether",
        "I'd wash the ether twice with 1,0 M HCl (à 12,5 ml) and once with 10 %iger Na2CO3 then brine "
        "then dry with CaCl2 and distil off the ether on a water bath",
        "wash hcl_1m 2x12.5 | wash na2co3_10 | wash brine | dry cacl2 | concentrate",
        False,
    ),
    (
        "step-solution-volume-times-1",
        "Step | Solution | Volume | Times\n1 | 1 M HCl | 20 mL | 2\n2 | sat. NaHCO3 | 20 mL | 1\n3 | brine "
        "| 20 mL | 1\n4 | MgSO4 | - | -\n5 | filter | |\n6 | evaporate | |",
        "wash hcl_1m 2x20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "wash-organic-with-water-20ml",
        "wash organic with water 20ml x2. wash organic with sat sodium bicarb 20ml x2 (vent!!!). wash "
        "organic w/ sat nacl 20ml. dry, filter, evap.",
        "wash water 2x20 | wash nahco3_sat 2x20 | wash brine 20 | dry | filter off desiccant | concentrate",
        False,
    ),
    (
        "so-basically-you-shake-it",
        "So basically you shake it with bicarbonate, the bubbles are CO2, you let them out, then do it "
        "again until there's no more fizz. Then shake with salt water. The top layer is your product in "
        "ethyl acetate, pour it out of the top into an Erlenmeyer and throw in some mag sulfate till it "
        "snows. Filter through fluted paper and boil off the EtOAc.",
        "wash nahco3_sat 2x | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "add-2-eq-of-naoh",
        "Add 2 eq. of NaOH (aq) and extract the phenol into the water. The organic layer contains the "
        "neutral compound, set it aside. Acidify the water layer with conc HCl until litmus turns red; "
        "extract with 3 portions of 15 mL ether; wash ether with brine; dry MgSO4; filter; evaporate.",
        "take up naoh_1m | set ph hcl_6m pH2 | extract diethyl_ether 3x15 | wash brine | dry mgso4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "we-add-30-ml-water",
        "We add 30 mL water and 30 mL MTBE to the flask. We separate the phases. We wash the MTBE phase "
        "with 30 mL 0.5 M H2SO4, 30 mL 5 % soda and 30 mL half-conc. brine. We dry over sodium sulphate, "
        "filter it off, rinse with MTBE and strip the solvent at 40 degrees.",
        "dilute water+mtbe 30 | wash h2so4_1m 30 | wash na2co3_10 30 | wash half_brine 30 | dry na2so4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "extrct-with-dicloromethane-3x10ml-wahs",
        "extrct with dicloromethane 3x10ml, wahs with brien, dry w magnesum sulphate, fliter, rotavap",
        "extract dichloromethane 3x10 | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "add-water-shake-keep-the",
        "Add water. Shake. Keep the organic. Add HCl. Shake. Keep the organic. Add bicarb. Shake. Keep "
        "the organic. Add brine. Shake. Keep the organic. Dry it. Filter it. Evaporate it.",
        "dilute water | wash hcl_1m | wash nahco3_sat | wash brine | dry | filter off desiccant | concentrate",
        False,
    ),
    (
        "my-plan-dilute-with-20",
        "My plan: dilute with 20 mL hexanes/EtOAc 1:1, wash w/ sat. aq. CuSO4 (3×10 mL) to get pyridine "
        "out, then H2O (10 mL), then brine (10 mL); run through a plug of Na2SO4 & conc.",
        "dilute ethyl_acetate 20 | wash cuso4_sat 3x10 | wash water 10 | wash brine 10 | dry na2so4 | concentrate",
        False,
    ),
    (
        "put-the-reaction-in-a",
        "Put the reaction in a beaker of ice with 10 ml conc. HCl, suck off the precipitate, wash it "
        "with water, dissolve it in DCM and wash that with NaHCO3 solution and then water, dry, "
        "evaporate.",
        "dilute ice_water | dilute hcl_6m 10 | filter | dilute dichloromethane | wash nahco3_sat | wash "
        "water | dry | concentrate",
        False,
    ),
    (
        "h2o-20-brine-20-mgso4",
        "H2O (20), brine (20), MgSO4, filter, vac",
        "wash water 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-poured",
        "The reaction mixture was poured in separating funnel. It was washed with 20 cm³ of dilute "
        "hydrochloric acid, then with 20 cm³ of water, then with 20 cm³ of sodium carbonate solution "
        "(release pressure regularly). The lower aqueous layer was run off each time. Finally anhydrous "
        "calcium chloride was added and left for 20 minutes before filtration.",
        "wash hcl_1m 20 | wash water 20 | wash na2co3_10 20 | dry cacl2 | filter off desiccant",
        False,
    ),
    (
        "wash-1-water-30-ml",
        "Wash 1: water, 30 mL. Wash 2: sat'd sodium thiosulfate, 30 mL. Wash 3: sat'd sodium bicarb, 30 "
        "mL. Wash 4: brine, 30 mL. Then MgSO4, filter, rotovap to dryness.",
        "wash water 30 | wash na2s2o3_sat 30 | wash nahco3_sat 30 | wash brine 30 | dry mgso4 | filter "
        "off desiccant | concentrate",
        False,
    ),
    (
        "treat-the-mixture-with-5",
        "Treat the mixture with 5 mL saturated sodium sulfite until starch-iodide paper stays white. "
        "Next separate, and shake the DCM with 10 mL each of NaHCO3 and brine. Dry over magnesium "
        "sulphate; filter; distil the solvent off.",
        "quench na2so3_sat 5 | wash nahco3_sat 10 | wash brine 10 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "work-up-aq-naoh-1",
        "Work-up: aq. NaOH (1 M, 3 x 10 ml), H₂O (10 ml), brine (10 ml); Na₂SO₄; evap.",
        "wash naoh_1m 3x10 | wash water 10 | wash brine 10 | dry na2so4 | concentrate",
        False,
    ),
    (
        "you-need-to-get-rid",
        "You need to get rid of the acid, so wash with base (bicarb not NaOH as this would hydrolyse the "
        "ester). You need to get rid of DMAP so wash with acid. Then you need to dry it so brine then "
        "MgSO4.",
        "wash nahco3_sat | wash hcl_1m | wash brine | dry mgso4",
        False,
    ),
    (
        "quench-the-grignard-pour-slowly",
        "Quench the Grignard: pour slowly onto 50 g crushed ice + 25 mL 10% H2SO4. Extract 3×25 mL "
        "ether. Wash ether: 25 mL water, 25 mL 5% NaHCO3, 25 mL satd. NaCl. Dry K2CO3. Filter. Distill "
        "ether.",
        "quench h2so4_1m 75 | extract diethyl_ether 3x25 | wash water 25 | wash nahco3_5 25 | wash brine "
        "25 | dry k2co3 | filter off desiccant | concentrate",
        False,
    ),
    (
        "evaporate-most-of-the-thf",
        "evaporate most of the THF first!! then 30 ml water, extract with ether 3 times 20 ml. ether "
        "layers get washed with 2 times 20 ml water and 1 time 20 ml brine. dry, filter, evaporate.",
        "evaporate | dilute water 30 | extract diethyl_ether 3x20 | wash water 2x20 | wash brine 20 | "
        "dry | filter off desiccant | concentrate",
        False,
    ),
    (
        "add-pentane-wash-3x-with",
        "Add pentane, wash 3x with MeOH/water 1:1, then water, then brine, sodium sulfate, strip",
        "dilute pentane | wash water 3x | wash water | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "work-up-w-dilute-acid",
        "work up w/ dilute acid, extract in DCM, dry, conc.",
        "quench hcl_1m | extract dichloromethane | dry | concentrate",
        False,
    ),
    (
        "step-one-pour-everything-into",
        "Step one: pour everything into the sep funnel, step two: add about 20 mls of water and shake "
        "(don't forget to burp it!), step three: let the water out the bottom?? no wait DCM is heavier "
        "so let the DCM out, step four: wash DCM with bicarb x2, step five: brine, step six: Na2SO4, "
        "step seven: rotovap",
        "dilute water 20 | wash nahco3_sat 2x | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "washes-hcl-1m-2x15-nahco3",
        "washes: HCl 1M (2x15), NaHCO3 sat (1x15), NaCl sat (1x15)\ndrying: MgSO4 (ca. 1 g), 5 min\nthen "
        "filter + rinse w/ EtOAc (2x3), evap",
        "wash hcl_1m 2x15 | wash nahco3_sat 15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "the-organic-phase-should-first",
        "The organic phase should first be washed with 1M hydrochloric acid (15 mL, twice) so the amines "
        "are removed as salts. Subsequently it should be washed with an aqueous solution of NaHCO3 (15 "
        "mL) so that the carboxylic acid is removed. Finally it should be dried with MgSO4, filtered and "
        "evaporated.",
        "wash hcl_1m 2x15 | wash nahco3_sat 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "h2o-25-ml-et2o-3",
        "H2O 25 mL\nEt2O 3 x 25 mL\nNaOH 2N 25 mL\nsat NaCl 25 mL\nMgSO4\nrotavap",
        "wash water 25 | extract diethyl_ether 3x25 | wash naoh_2m 25 | wash brine 25 | dry mgso4 | concentrate",
        False,
    ),
    (
        "you-wash-with-sulphuric-acid",
        "You wash with sulphuric acid 5 % first, two lots of 20 mls, then 20 mls water, then 20 mls sat "
        "bicarbonate and 20 mls brine. Stick it over mag sulph, filter it through cotton wool and "
        "rotovap it down.",
        "wash h2so4_1m 2x20 | wash water 20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter "
        "off desiccant | concentrate",
        False,
    ),
    (
        "i-will-add-ether-and",
        "i will add ether and water to the flask then separate and keep the ether. the water will be "
        "extracted 2 more times with ether. all the ether will be washed with NaOH 10% then water and "
        "dried with CaCl2. after filtering, ether gets distilled off with a warm water bath",
        "dilute water+diethyl_ether | extract diethyl_ether 2x | wash naoh_10pct | wash water | dry "
        "cacl2 | filter off desiccant | concentrate",
        False,
    ),
    (
        "quench-nh4cl-sat-15-ml",
        "Quench: NH4Cl (sat., 15 mL), 0 °C. Extr.: MTBE (3×15 mL). Wash: brine (15 mL). Dry: Na2SO4. "
        "Conc.: 40 °C, 200 mbar.",
        "quench nh4cl_sat 15 | extract mtbe 3x15 | wash brine 15 | dry na2so4 | concentrate",
        False,
    ),
    (
        "we-washed-it-w-hcl",
        "we washed it w/ hcl, then w/ bicarb but forgot brine, dried it w/ na2so4, decanted off, then "
        "rotovapped till const. wt.",
        "wash hcl_1m | wash nahco3_sat | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "wash-the-organic-layer-a",
        "Wash the organic layer\n   a. 2 x 10 mL 5% NaOH  (removes phenol)\n   b. 2 x 10 mL H2O\n   c. 1 x "
        "10 mL brine\nDry w/ anhyd. Na2SO4, decant, concentrate.",
        "wash naoh_5pct 2x10 | wash water 2x10 | wash brine 10 | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "separate-layers-wash-aq-with",
        "Separate layers, wash aq with 10mL EtOAc, combine EtOAc, wash combined with 3x10mL 0.5M KHSO4, "
        "3x10mL NaHCO3 5 %, 10mL NaCl, dry, concentrate",
        "extract ethyl_acetate 10 | wash khso4_5 3x10 | wash nahco3_5 3x10 | wash brine 10 | dry | concentrate",
        False,
    ),
    (
        "die-etherphase-wird-zweimal-mit",
        "Die Etherphase wird zweimal mit je 20 ml 2 N Salzsäure und einmal mit 20 ml gesättigter "
        "Kochsalzlösung gewaschen, mit Natriumsulfat getrocknet und das Lösungsmittel im Vakuum entfernt.",
        "wash hcl_2m 2x20 | wash brine 20 | dry na2so4 | concentrate",
        False,
    ),
    (
        "pour-into-100ml-ice-water",
        "pour into 100mL ice/water, scratch until solid, vac filter, wash w/ cold water, air dry",
        "quench ice_water 100 | filter",
        False,
    ),
    (
        "1-take-up-in-50ml",
        "1) take up in 50ml EA 2) 1M HCL 2*25 3) 5%NaHCO3 2*25 4) brine 25 5) Na2SO4 6) EVAP",
        "dilute ethyl_acetate 50 | wash hcl_1m 2x25 | wash nahco3_5 2x25 | wash brine 25 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-mixture-gets-30-ml",
        "The mixture gets 30 ml of water and 30 ml of ethyl acetate. After separation, the ethyl acetate "
        "gets 30 ml citric acid (10%), 30 ml bicarb and 30 ml brine, one after the other. It's then "
        "dried with sodium sulfate and the solvent taken off.",
        "dilute water+ethyl_acetate 30 | wash citric_10 30 | wash nahco3_sat 30 | wash brine 30 | dry "
        "na2so4 | concentrate",
        False,
    ),
    (
        "shake-w-10ml-1m-hcl",
        "shake w/ 10ml 1M hcl, discard aq. shake w/ 10ml 1M hcl again, discard aq. shake w/ 10ml nahco3, "
        "discard aq. shake w/ 10 ml brine, discard aq. mgso4. filter. evaporate.",
        "wash hcl_1m 10 | wash hcl_1m 10 | wash nahco3_sat 10 | wash brine 10 | dry mgso4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "add-0-5-ml-meoh",
        "Add 0.5 mL MeOH to kill the DIBAL, add 20 mL Rochelle, stir until clear, extract EtOAc 3x, "
        "brine, dry, evaporate",
        "dilute methanol 0.5 | dilute rochelle_sat 20 | extract ethyl_acetate 3x | wash brine | dry | concentrate",
        False,
    ),
    (
        "wash-organic-layer-3x-with",
        "wash organic layer 3x with 15 mL 1M HCl, then 2x with 15 mL sat NaHCO3, then 1x with 15 mL "
        "brine. dry over MgSO4. gravity filter. rotovap.",
        "wash hcl_1m 3x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "1-add-20-ml-water",
        "1. Add 20 mL water\n2. Extract with 3 x 15 mL ethyl acetate\n3. Wash organic layer with 15 mL 5% "
        "NaHCO3\n4. Wash with 15 mL brine\n5. Dry over sodium sulfate\n6. Decant and evaporate",
        "dilute water 20 | extract ethyl_acetate 3x15 | wash nahco3_5 15 | wash brine 15 | dry na2so4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "i-would-first-wash-the",
        "I would first wash the organic layer with sodium bicarbonate to remove the acid, then wash with "
        "water, then brine to remove the water, then dry with magnesium sulfate, filter and evaporate "
        "the solvent.",
        "wash nahco3_sat | wash water | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "pour-rxn-into-50-ml",
        "Pour rxn into 50 mL ice water. Extract w/ DCM (3x20 mL). Combine organics & wash w/ 1M NaOH "
        "(2x15 mL), H2O (15 mL). Dry Na2SO4, filter, conc.",
        "quench ice_water 50 | extract dichloromethane 3x20 | wash naoh_1m 2x15 | wash water 15 | dry "
        "na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "hcl-wash-2-x-20",
        "hcl wash (2 x 20 ml), bicarb wash (20 ml), brine wash (20 ml), dry (mgso4), filter, evap",
        "wash hcl_1m 2x20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "transfer-to-separatory-funnel-add",
        "Transfer to separatory funnel, add 30 mL of diethyl ether and 20 mL of 10% HCl. Shake, vent, "
        "separate. Discard aqueous layer. Wash ether with 20 mL sat. sodium bicarbonate. Wash ether with "
        "20 mL brine. Dry over anhydrous CaCl2. Filter and distill off the ether.",
        "dilute hcl_10pct+diethyl_ether 20 | wash nahco3_sat 20 | wash brine 20 | dry cacl2 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "quench-sat-nh4cl-10-ml",
        "Quench: sat. NH4Cl (10 mL). Extract: EtOAc (3 x 15 mL). Wash: brine. Dry: Na2SO4. Filter. Evaporate.",
        "quench nh4cl_sat 10 | extract ethyl_acetate 3x15 | wash brine | dry na2so4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "the-ether-layer-is-shaken",
        "the ether layer is shaken with 2 portions of 20ml dilute sodium hydroxide, the aqueous layers "
        "are removed, it is washed with water 20ml, and dried over anhydrous sodium sulphate and the "
        "ether evaporated on a steam bath",
        "wash naoh_1m 2x20 | wash water 20 | dry na2so4 | concentrate",
        False,
    ),
    (
        "dilute-50-ml-etoac-3",
        "* dilute 50 mL EtOAc\n* 3 × 25 mL 5 % LiCl\n* 25 mL sat. NaHCO₃\n* 25 mL brine\n* MgSO₄, filter, rotavap",
        "dilute ethyl_acetate 50 | wash licl_5 3x25 | wash nahco3_sat 25 | wash brine 25 | dry mgso4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "extract-amine-into-1m-hcl",
        "Extract amine into 1M HCl (3x15 mL). Basify aqueous to pH 12 w/ 3M NaOH. Extract back into DCM "
        "(3x15 mL). Dry K2CO3. Evaporate.",
        "take up hcl_1m 3x15 | set ph naoh_3m pH12 | extract dichloromethane 3x15 | dry k2co3 | concentrate",
        False,
    ),
    (
        "neutralise-with-2m-naoh-until",
        "Neutralise with 2M NaOH until pH 7, extract with ethyl acetate 3 times, wash with water, dry "
        "with Na2SO4, rotary evaporate",
        "set ph naoh_2m pH7 | extract ethyl_acetate 3x | wash water | dry na2so4 | concentrate",
        False,
    ),
    (
        "sat-nahco3-20-ml-x2",
        "sat nahco3 20 ml x2 -> brine 20 ml -> na2so4 -> filter -> rotovap",
        "wash nahco3_sat 2x20 | wash brine 20 | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "organische-phase-mit-1-n",
        "Organische Phase mit 1 N HCl (2 x 20 ml), ges. NaHCO3-Lsg. (20 ml) und ges. NaCl-Lsg. (20 ml) "
        "gewaschen, über MgSO4 getrocknet, filtriert, eingeengt.",
        "wash hcl_1m 2x20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "we-ll-wash-with-citric",
        "We'll wash with citric acid 10% 2 times 20 mL each, then sodium carbonate 20 mL, then salt "
        "water, then put MgSO4 in, filter it and take the solvent off on the rotovap",
        "wash citric_10 2x20 | wash na2co3_10 20 | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "add-na2s2o3-10-ml-sat",
        "Add Na2S2O3 (10 mL, sat.) until color is gone. Sep layers. Back-extract aq w/ DCM 10 mL. Wash "
        "comb. org. w/ NaHCO3 10 mL + brine 10 mL. Dry (Na2SO4). Conc.",
        "dilute na2s2o3_sat 10 | extract dichloromethane 10 | wash nahco3_sat 10 | wash brine 10 | dry "
        "na2so4 | concentrate",
        False,
    ),
)


@pytest.mark.parametrize(("text", "steps", "unread"), [row[1:] for row in WORKUPS], ids=[row[0] for row in WORKUPS])
def test_reads_a_whole_workup(text: str, steps: str, unread: bool) -> None:
    check_whole(text, steps, unread)


def test_a_note_that_begins_with_so_much_acid_begins_with_a_quench() -> None:
    for text in (
        "Added acetic acid (3 mmol), diluted with water (50 mL).",
        "HCl (5 mmol) was added. Extracted with ether.",
    ):
        first = read_plan(text).steps[0]
        assert first.action == "dilute" and first.solution.startswith(("acetic", "hcl"))
