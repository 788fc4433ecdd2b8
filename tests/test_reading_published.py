"""Whole workups as journals and patents write them, and what they are read as; written before the reader was tried on them."""

from __future__ import annotations

import pytest
from readings import check_whole

# id, text, steps, whether something of it is listed as not read.
WORKUPS = (
    (
        "the-contents-of-the-flask",
        "The contents of the flask were transferred to a separatory funnel with the aid of 50 mL of "
        "diethyl ether and 100 mL of water. After shaking, the aqueous phase was drawn off and extracted "
        "with two additional 50-mL portions of ether. The combined ethereal solutions were washed with "
        "50 mL of 5% hydrochloric acid, 50 mL of saturated sodium bicarbonate solution, and 50 mL of "
        "brine, dried over anhydrous magnesium sulfate, and concentrated with a rotary evaporator.",
        "dilute water+diethyl_ether 100 | extract diethyl_ether 2x50 | wash hcl_5pct 50 | wash "
        "nahco3_sat 50 | wash brine 50 | dry mgso4 | concentrate",
        False,
    ),
    (
        "a-solution-of-the-residue",
        "A solution of the residue in ethyl acetate (80 mL) was washed with 1 N aqueous hydrochloric "
        "acid (2 × 30 mL), 5% aqueous sodium bicarbonate (30 mL), and brine (30 mL), then dried over "
        "sodium sulfate, filtered, and concentrated under reduced pressure.",
        "dilute ethyl_acetate 80 | wash hcl_1m 2x30 | wash nahco3_5 30 | wash brine 30 | dry na2so4 | "
        "filter off desiccant | concentrate",
        False,
    ),
    (
        "water-5-l-kg-and",
        "Water (5 L/kg) and toluene (8 L/kg) were charged, the contents agitated for 30 min and settled. "
        "The bottom aqueous layer was drained to waste. The toluene layer was washed with 10% w/w "
        "aqueous potassium bicarbonate (3 L/kg) and then with water (3 L/kg). The product solution was "
        "concentrated under vacuum at NMT 50 °C.",
        "dilute water+toluene 5vol | wash nahco3_sat 3vol | wash water 3vol | concentrate",
        False,
    ),
    (
        "to-the-reaction-mixture-were",
        "To the reaction mixture were added 200 ml of water and 200 ml of chloroform, and the separated "
        "chloroform layer was washed in succession with 1N-hydrochloric acid, water, 5% aqueous sodium "
        "hydrogencarbonate and water, and dried over magnesium sulfate. The solvent was distilled off, "
        "and to the residue was added diisopropyl ether to obtain crystals.",
        "dilute water+chloroform 200 | wash hcl_1m | wash water | wash nahco3_5 | wash water | dry mgso4 | concentrate",
        False,
    ),
    (
        "the-reaction-solution-is-evaporated",
        "The reaction solution is evaporated down, the residue is taken up in methyl tert-butyl ether "
        "and the solution is washed with 10% strength sodium hydroxide solution and water. Drying over "
        "Na2SO4 and evaporation under reduced pressure give 12 g of the ether.",
        "evaporate | dilute mtbe | wash naoh_10pct | wash water | dry na2so4 | concentrate",
        False,
    ),
    (
        "after-removal-of-the-thf",
        "After removal of the THF in vacuo, the aqueous solution that remained was layered with EtOAc, "
        "cooled in an ice bath, and acidified to pH 2-3 by addition of 10% aqueous KHSO4. The layers "
        "were separated, the aqueous layer was extracted with EtOAc (2×), and the pooled EtOAc extracts "
        "were washed with water (2×) and brine, dried (Na2SO4), and evaporated.",
        "evaporate | dilute ethyl_acetate | set ph khso4_10 pH2.5 | extract ethyl_acetate 2x | wash "
        "water 2x | wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-was-quenched-by",
        "The reaction was quenched by the sequential addition of water (2.3 mL), 15% aqueous NaOH (2.3 "
        "mL) and water (6.9 mL). The resulting white precipitate was filtered off through Celite and "
        "washed well with THF; the filtrate was evaporated, and the residue, in dichloromethane (150 "
        "mL), was washed with water (50 mL) and brine (50 mL) and dried (K2CO3).",
        "quench water 2.3 | quench naoh_15pct 2.3 | quench water 6.9 | filter | concentrate | dilute "
        "dichloromethane 150 | wash water 50 | wash brine 50 | dry k2co3",
        False,
    ),
    (
        "sat-aq-nahco3-15-ml",
        "Sat. aq. NaHCO3 (15 mL) and sat. aq. Na2S2O3 (15 mL) were added and the mixture was stirred "
        "until both layers were clear (30 min). The aqueous phase was extracted with CH2Cl2 (3 × 15 mL), "
        "and the combined organic phases were dried (MgSO4) and concentrated. The residue was purified "
        "by FCC (SiO2, pentane/Et2O 9:1).",
        "dilute nahco3_sat 15 | dilute na2s2o3_sat 15 | extract dichloromethane 3x15 | dry mgso4 | concentrate",
        False,
    ),
    (
        "the-ether-solution-was-decanted",
        "The ether solution was decanted from the salts, which were rinsed with two 30-ml. portions of "
        "ether. The combined ether solutions were washed with two 50-ml. portions of ice-cold 2N "
        "sulfuric acid, with 50 ml. of saturated sodium bicarbonate solution and with 50 ml. of "
        "saturated sodium chloride solution, and were dried over Drierite.",
        "filter | wash h2so4_1m 2x50 | wash nahco3_sat 50 | wash brine 50 | dry caso4",
        False,
    ),
    (
        "the-mixture-was-allowed-to",
        "The mixture was allowed to cool, diluted with benzene, and shaken with N/2 sodium hydroxide, "
        "then with water; evaporation of the dried benzene solution left an oil.",
        "dilute benzene | wash naoh_05m | wash water | concentrate",
        False,
    ),
    (
        "workup-a-the-reaction-mixture",
        "Workup A: The reaction mixture was diluted with EtOAc and washed successively with 1 M aqueous "
        "LiOH (x2), H2O (x2) and brine (x1); the organic layer was passed through a hydrophobic frit and "
        "concentrated in vacuo.",
        "dilute ethyl_acetate | wash lioh_1m 2x | wash water 2x | wash brine | dry phase_separator | concentrate",
        False,
    ),
    (
        "we-quenched-the-reaction-at",
        "We quenched the reaction at −78 °C with acetic acid (0.5 mL), allowed it to warm to 0 °C and "
        "partitioned it between Et2O (40 mL) and pH 7 buffer (40 mL). We re-extracted the aqueous phase "
        "with Et2O (2 × 20 mL), washed the combined organic phases with brine, dried them over Na2SO4 "
        "and removed the solvents on a rotary evaporator.",
        "quench acetic_acid 0.5 | dilute phosphate_ph7+diethyl_ether 40 | extract diethyl_ether 2x20 | "
        "wash brine | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-mass-was-quenched",
        "The reaction mass was quenched into chilled water (10 vol), stirred for 1 h, and the pH was "
        "adjusted to 8.0–8.5 using aqueous ammonia. The product was extracted into ethyl acetate (2 × 5 "
        "vol). The combined ethyl acetate layer was washed with 10% brine solution (5 vol), treated with "
        "activated carbon, filtered through Hyflo and concentrated.",
        "quench ice_water 10vol | set ph ammonia_10 pH8.25 | extract ethyl_acetate 2x5vol | wash "
        "half_brine 5vol | filter | concentrate",
        True,
    ),
    (
        "the-organic-phase-was-separated",
        "The organic phase was separated off, and the aqueous phase was extracted by shaking twice with "
        "in each case 100 ml of ethyl acetate. The combined organic phases were washed once with in each "
        "case 100 ml of saturated sodium hydrogencarbonate solution and saturated sodium chloride "
        "solution, dried over magnesium sulphate, filtered and freed from the solvent on a rotary "
        "evaporator.",
        "extract ethyl_acetate 2x100 | wash nahco3_sat 100 | wash brine 100 | dry mgso4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "the-solution-was-washed-with",
        "The solution was washed with 1M aqueous citric acid. The organic phase was collected and the "
        "citric acid washes were back extracted with EtOAc. The organic phases were combined, washed "
        "with saturated NaHCO3, 1:1 brine/water and brine, dried over MgSO4, gravity-filtered and "
        "concentrated by rotary evaporation to constant weight.",
        "wash citric_1m | extract ethyl_acetate | wash nahco3_sat | wash half_brine | wash brine | dry "
        "mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "following-dilution-with-tert-butyl",
        "Following dilution with tert-butyl methyl ether (60 mL), the dark red solution was washed with "
        "10% aqueous sodium sulfite until colourless, then with 1 M aqueous sodium carbonate (2 × 20 "
        "mL), and water (20 mL). Concentration of the dried (Na2SO4) organic layer afforded the epoxide, "
        "which was used without purification.",
        "dilute mtbe 60 | wash na2so3_10 | wash na2co3_10 2x20 | wash water 20 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-residue-was-triturated-with",
        "The residue was triturated with ether, the ether decanted, and the remaining gum partitioned "
        "between 0.1 N NaOH and chloroform. The chloroform layer was back-washed with water, dried by "
        "filtration through sodium sulfate, and taken to dryness.",
        "dilute naoh_01m+chloroform | wash water | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-acidified",
        "The reaction mixture was acidified with 3 M aqueous HCl (25 mL) and stirred for 15 min to "
        "cleave the boronate. The layers were partitioned and the aqueous was washed with MTBE (2 × 25 "
        "mL) to remove neutral impurities. The aqueous phase was then basified with 50% NaOH to pH 12 "
        "and extracted with 2-MeTHF (3 × 25 mL). The extracts were azeodried and concentrated.",
        "set ph hcl_3m pH2 25 | extract mtbe 2x25 | set ph naoh_15pct pH12 | extract 2-methf 3x25 | dry "
        "toluene_azeotrope | concentrate",
        False,
    ),
    (
        "the-reaction-was-diluted-with",
        "The reaction was diluted with saturated aqueous NH4Cl (30 mL) and the phases were separated. "
        "The aqueous phase was extracted with EtOAc (3 × 30 mL). The combined organic extracts were "
        "washed with H2O (5 × 20 mL) to remove DMF, brine (20 mL), dried over anhydrous Na2SO4, "
        "filtered, and the volatiles were removed under reduced pressure.",
        "dilute nh4cl_sat 30 | extract ethyl_acetate 3x30 | wash water 5x20 | wash brine 20 | dry na2so4 "
        "| filter off desiccant | concentrate",
        False,
    ),
    (
        "the-suspension-was-filtered-to",
        "The suspension was filtered to remove the dicyclohexylurea and the filter cake was washed with "
        "a little cold dichloromethane. The filtrate was washed with 0.5 N HCl, water, half-saturated "
        "sodium bicarbonate solution, and water, dried, and evaporated to give a syrup, which was "
        "crystallized from ether-hexane.",
        "filter | wash hcl_05m | wash water | wash nahco3_5 | wash water | dry | concentrate",
        False,
    ),
    (
        "at-0-5-c-6",
        "At 0-5 °C, 6 M aqueous HCl was added dropwise until gas evolution ceased (pH ~1). The THF was "
        "stripped off. The aqueous concentrate was made alkaline with 5 M NaOH (pH >12) and saturated "
        "with solid NaCl before being extracted with n-butanol (4 × 50 mL).",
        "set ph hcl_6m pH1 | concentrate | set ph naoh_15pct pH12 | extract 1-butanol 4x50",
        False,
    ),
    (
        "the-mixture-was-poured-into",
        "The mixture was poured into 1 M aqueous potassium sodium tartrate (100 mL) layered with ether "
        "(100 mL) and the two-phase mixture was vigorously stirred for 2 h. Phase separation, extraction "
        "of the aqueous layer with ether (3 × 50 mL), drying of the combined organic layers (MgSO4), and "
        "concentration in vacuo provided an oil.",
        "quench rochelle_sat+diethyl_ether 100 | extract diethyl_ether 3x50 | dry mgso4 | concentrate",
        False,
    ),
    (
        "the-resulting-solution-was-concentrated",
        "The resulting solution was concentrated to one third of its volume, diluted with an equal "
        "volume of water, and extracted continuously with ether for 24 h. The ether extract was dried "
        "with potassium carbonate and fractionated.",
        "evaporate | dilute water 1vol | extract diethyl_ether | dry k2co3",
        False,
    ),
    (
        "the-solvent-was-exchanged-for",
        "The solvent was exchanged for isopropyl acetate (10 volumes). The solution was washed with 5 "
        "wt% aqueous EDTA disodium salt (5 volumes), 5 wt% aqueous NaHCO3 (5 volumes) and water (2 x 5 "
        "volumes), polish filtered, and distilled to 3 volumes.",
        "evaporate | dilute isopropyl_acetate 10vol | wash edta_01m 5vol | wash nahco3_5 5vol | wash "
        "water 2x5vol | filter | concentrate",
        False,
    ),
    (
        "upon-cooling-to-ambient-temperature",
        "Upon cooling to ambient temperature the mixture was filtered through a short plug of silica, "
        "eluting with EtOAc. The eluate was washed with 10% aq. NH4OH (3 × 30 mL) until the blue colour "
        "no longer persisted, then with water and brine. It was dried over MgSO4, filtered and "
        "evaporated.",
        "filter | wash ammonia_10 3x30 | wash water | wash brine | dry mgso4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "dichloromethane-3-30-ml-extraction",
        "Dichloromethane (3 × 30 mL) extraction of the aqueous phase, followed by washing of the "
        "combined extracts with 1 M NaHSO4 (30 mL) and water (30 mL), drying over Na2SO4, filtration and "
        "evaporation, gave the crude carbamate.",
        "extract dichloromethane 3x30 | wash nahso4_1m 30 | wash water 30 | dry na2so4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "the-reaction-was-terminated-by",
        "The reaction was terminated by adding 10 mL of saturated aqueous ammonium chloride, whereupon "
        "the mixture was warmed to room temperature and extracted with three 25 mL portions of "
        "dichloromethane. The extracts were pooled, rinsed with 20 mL of brine, dried (sodium sulfate) "
        "and rotary evaporated.",
        "quench nh4cl_sat 10 | extract dichloromethane 3x25 | wash brine 20 | dry na2so4 | concentrate",
        False,
    ),
    (
        "after-3-h-100-ml",
        "After 3 h, 100 ml of water were added to the mixture, the organic phase was separated, and the "
        "aqueous phase was extracted a further two times with 50 ml of toluene each time. The organic "
        "phases were washed until neutral with water, dried with sodium sulfate, and the toluene was "
        "distilled off in vacuo.",
        "dilute water 100 | extract toluene 2x50 | wash water 3x | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-crude-bromide-was-diluted",
        "The crude bromide was diluted with hexanes (120 mL), and the hexanes solution was washed with "
        "water (3 x 40 mL), 10% w/v aqueous sodium thiosulfate (40 mL) and brine, then filtered through "
        "a pad of MgSO4 and concentrated.",
        "dilute hexane 120 | wash water 3x40 | wash na2s2o3_10 40 | wash brine | dry mgso4 | concentrate",
        False,
    ),
    (
        "the-dmf-was-distilled-off",
        "The DMF was distilled off in vacuo and the residue was distributed between 200 ml of ethyl "
        "acetate and 100 ml of 10% citric acid. The ethyl acetate phase was extracted by shaking in "
        "succession with 100 ml of 10% citric acid, 2 x 100 ml of saturated NaHCO3 solution and 100 ml "
        "of water.",
        "evaporate | dilute citric_10+ethyl_acetate 100 | wash citric_10 100 | wash nahco3_sat 2x100 | wash water 100",
        False,
    ),
    (
        "work-up-consisted-of-dilution",
        "Work-up consisted of dilution with Et2O (25 mL), washing with saturated aqueous CuSO4 (4 × 15 "
        "mL), H2O (15 mL) and brine (15 mL), drying over MgSO4 and removal of the solvent in vacuo.",
        "dilute diethyl_ether 25 | wash cuso4_sat 4x15 | wash water 15 | wash brine 15 | dry mgso4 | concentrate",
        False,
    ),
    (
        "excess-hydride-was-decomposed-by",
        "Excess hydride was decomposed by the dropwise addition of ethyl acetate (3 ml) followed by "
        "water (1 ml); the inorganic salts were filtered off and washed with ether, and the combined "
        "filtrates were dried (Na2SO4) and evaporated to give the alcohol, b.p. 84-86 °C/0.2 mm.",
        "quench ethyl_acetate 3 | quench water 1 | filter | dry na2so4 | concentrate",
        False,
    ),
    (
        "on-completion-et3n-was-removed",
        "On completion, Et3N was removed by washing the reaction mixture with 10% aqueous acetic acid (3 "
        "× 20 mL); acetic acid was in turn removed with saturated aqueous NaHCO3 (3 × 20 mL), after "
        "which the organic layer was dried over anhydrous CaSO4.",
        "wash acetic_10 3x20 | wash nahco3_sat 3x20 | dry caso4",
        True,
    ),
    (
        "the-reaction-mixture-was-partitioned",
        "The reaction mixture was partitioned (EtOAc, 1 M HCl), and the organic phase washed (sat. "
        "NaHCO3, brine), dried (Na2SO4), filtered and concentrated.",
        "dilute hcl_1m+ethyl_acetate | wash nahco3_sat | wash brine | dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "the-lower-organic-layer-was",
        "The lower organic layer was set aside, and the upper aqueous layer was extracted with "
        "chloroform (2 × 20 mL). All chloroform layers were then united, washed with ice-cold 0.1 M NaOH "
        "(10 mL) and with ice-water (2 × 10 mL), dried by passage through a column of anhydrous Na2SO4, "
        "and evaporated under a stream of nitrogen.",
        "extract chloroform 2x20 | wash naoh_01m 10 | wash ice_water 2x10 | dry na2so4 | concentrate",
        False,
    ),
    (
        "a-saturated-solution-of-sodium",
        "A saturated solution of sodium bicarbonate was carefully added until gas evolution had ceased. "
        "The phases were separated, and the organic phase was washed twice more with the bicarbonate "
        "solution, then once with brine, dried over potassium carbonate, decanted, and the solvent was "
        "stripped.",
        "set ph nahco3_sat pH8 | wash nahco3_sat 2x | wash brine | dry k2co3 | filter off desiccant | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-evaporated",
        "The reaction mixture was evaporated to dryness. The residue was stirred with a mixture of 50 ml "
        "of methylene chloride and 50 ml of 1N hydrochloric acid. The methylene chloride was separated, "
        "washed with water, dried and evaporated.",
        "evaporate | quench hcl_1m+dichloromethane 50 | wash water | dry | concentrate",
        False,
    ),
    (
        "following-an-aqueous-workup-etoac",
        "Following an aqueous workup (EtOAc/H2O), the crude product was purified by column chromatography.",
        "dilute water+ethyl_acetate",
        False,
    ),
    (
        "the-mixture-was-cooled-to",
        "The mixture was cooled to 0 °C, diluted with Et2O (50 mL), and quenched by adding H2O (0.4 mL), "
        "15% aq NaOH (0.4 mL) and H2O (1.2 mL) successively. The mixture was warmed to rt and stirred "
        "for 15 min; MgSO4 was added, and after another 15 min the mixture was filtered to remove salts.",
        "dilute diethyl_ether 50 | quench water 0.4 | quench naoh_15pct 0.4 | quench water 1.2 | dry "
        "mgso4 | filter off desiccant",
        False,
    ),
    (
        "the-product-was-isolated-by",
        "The product was isolated by extraction with dichloromethane (2 × 30 mL), and the extracts, "
        "after being washed with dilute aqueous ammonia, were dried and the solvent was removed.",
        "extract dichloromethane 2x30 | wash ammonia_10 | dry | concentrate",
        False,
    ),
    (
        "to-work-up-the-toluene",
        "To work up, the toluene phase is decanted off from the lower ionic phase and washed with 2 x "
        "0.5 volume of 5% strength sodium carbonate solution and 0.5 volume of water. The toluene is "
        "removed on a rotary evaporator.",
        "wash na2co3_10 2x0.5vol | wash water 0.5vol | concentrate",
        False,
    ),
    (
        "sodium-sulfite-12-6-g",
        "Sodium sulfite (12.6 g, 100 mmol) in water (80 mL) was added to destroy excess peracid, the "
        "mixture was stirred for 30 min, and the organic layer was removed, washed with saturated NaHCO3 "
        "solution until effervescence ceased, and dried over MgSO4.",
        "dilute na2so3_10 80 | wash nahco3_sat | dry mgso4",
        False,
    ),
    (
        "the-mixture-was-cooled-to-2",
        "The mixture was cooled to room temperature, diluted with EtOAc (60 mL) and washed with water (2 "
        "x 30 mL), 1 M aqueous HCl (30 mL), saturated aqueous NaHCO3 (30 mL) and brine (30 mL). The "
        "organic layer was dried over Na2SO4, filtered and concentrated under reduced pressure.",
        "dilute ethyl_acetate 60 | wash water 2x30 | wash hcl_1m 30 | wash nahco3_sat 30 | wash brine 30 "
        "| dry na2so4 | filter off desiccant | concentrate",
        False,
    ),
    (
        "upon-completion-the-reaction-was",
        "Upon completion the reaction was quenched with saturated ammonium chloride (30 mL) and "
        "extracted with diethyl ether (3 x 30 mL). The combined ether layers were washed with brine (30 "
        "mL), dried over MgSO4, and concentrated in vacuo to give a colorless oil that was purified by "
        "flash chromatography.",
        "quench nh4cl_sat 30 | extract diethyl_ether 3x30 | wash brine 30 | dry mgso4 | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-poured-2",
        "The reaction mixture was poured into ice-water (200 ml), and the aqueous mixture was extracted "
        "with methylene chloride (3 x 75 ml). The organic extracts were combined, washed with 5% aqueous "
        "sodium hydroxide (50 ml) and water (50 ml), dried (MgSO4), and evaporated to a residue.",
        "quench ice_water 200 | extract dichloromethane 3x75 | wash naoh_5pct 50 | wash water 50 | dry "
        "mgso4 | concentrate",
        False,
    ),
    (
        "the-solvent-was-evaporated-and",
        "The solvent was evaporated and the residue was partitioned between dichloromethane (100 mL) and "
        "10% aqueous K2CO3 (50 mL). The aqueous layer was extracted with dichloromethane (50 mL) and the "
        "combined organic layers were dried over Na2SO4 and evaporated.",
        "evaporate | dilute k2co3_10+dichloromethane 50 | extract dichloromethane 50 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-aqueous-layer-was-acidified",
        "The aqueous layer was acidified to pH 3 using 1N HCl and extracted with ethyl acetate (3 × 50 "
        "mL). The combined organic extracts were washed with water and brine, dried over anhydrous "
        "magnesium sulfate, filtered, and the filtrate was concentrated to afford the acid.",
        "set ph hcl_1m pH3 | extract ethyl_acetate 3x50 | wash water | wash brine | dry mgso4 | filter "
        "off desiccant | concentrate",
        False,
    ),
    (
        "thereafter-300-ml-of-toluene",
        "Thereafter, 300 ml of toluene are added and the organic phase is washed three times with 100 ml "
        "of water each time and dried over sodium sulfate. The toluene is removed by distillation under "
        "reduced pressure.",
        "dilute toluene 300 | wash water 3x100 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-was-diluted-with-2",
        "The reaction was diluted with MTBE and sequentially washed with 10 wt% aqueous Na2S2O3, "
        "saturated aqueous NaHCO3 and brine. The organic phase was dried over sodium sulfate, filtered "
        "through a plug of silica gel and concentrated.",
        "dilute mtbe | wash na2s2o3_10 | wash nahco3_sat | wash brine | dry na2so4 | filter off "
        "desiccant | concentrate",
        False,
    ),
    (
        "water-40-ml-was-added",
        "Water (40 mL) was added and the resulting mixture was extracted with CH2Cl2 (40 mL x 3). The "
        "organic layers were washed with saturated CuSO4 solution (30 mL x 2), water (30 mL) and brine "
        "(30 mL), dried with anhydrous Na2SO4 and evaporated.",
        "dilute water 40 | extract dichloromethane 3x40 | wash cuso4_sat 2x30 | wash water 30 | wash "
        "brine 30 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-filtered",
        "The reaction mixture was filtered through Celite, the filter cake was rinsed with ethyl "
        "acetate, and the filtrate was washed with saturated NH4Cl (2 × 40 mL) and brine (40 mL), dried "
        "over Na2SO4, and concentrated in vacuo.",
        "filter | wash nh4cl_sat 2x40 | wash brine 40 | dry na2so4 | concentrate",
        False,
    ),
    (
        "the-mixture-was-made-alkaline",
        "The mixture was made alkaline with 2N NaOH, the layers were separated, and the aqueous layer "
        "was extracted twice with ether. The combined ether solutions were washed with water, dried over "
        "potassium carbonate, and the solvent removed to give the amine.",
        "set ph naoh_2m pH10 | extract diethyl_ether 2x | wash water | dry k2co3 | concentrate",
        False,
    ),
    (
        "the-dichloromethane-solution-was-extracted",
        "The dichloromethane solution was extracted with 1 M NaOH (3 × 30 mL). The aqueous extracts were "
        "combined, washed with dichloromethane (30 mL), acidified to pH 2 with 6 M HCl and extracted "
        "with ethyl acetate (3 × 40 mL). Drying over MgSO4 and evaporation gave the phenol.",
        "take up naoh_1m 3x30 | extract dichloromethane 30 | set ph hcl_6m pH2 | extract ethyl_acetate "
        "3x40 | dry mgso4 | concentrate",
        False,
    ),
    (
        "excess-reagent-was-destroyed-with",
        "Excess reagent was destroyed with 10% aqueous sodium bisulfite (20 mL). The organic layer was "
        "separated, washed with 10% sodium carbonate (2 x 20 mL) and water, dried over calcium chloride, "
        "and distilled.",
        "quench nahso3_10 20 | wash na2co3_10 2x20 | wash water | dry cacl2 | concentrate",
        False,
    ),
    (
        "the-resulting-solution-was-diluted",
        "The resulting solution was diluted with 200 mL of water and extracted with 3x100 mL of ethyl "
        "acetate. The organic layers were combined, washed with 3x100 mL of brine, dried over anhydrous "
        "sodium sulfate and concentrated under vacuum.",
        "dilute water 200 | extract ethyl_acetate 3x100 | wash brine 3x100 | dry na2so4 | concentrate",
        False,
    ),
    (
        "after-2-h-the-volatiles",
        "After 2 h, the volatiles were removed in vacuo. The residue was taken up in chloroform, washed "
        "with 0.5N HCl, water, 5% NaHCO3, and water, dried (Na2SO4), and the chloroform was evaporated.",
        "evaporate | dilute chloroform | wash hcl_05m | wash water | wash nahco3_5 | wash water | dry "
        "na2so4 | concentrate",
        False,
    ),
    (
        "the-reaction-mixture-was-treated",
        "The reaction mixture was treated with 1 M Rochelle salt solution (50 mL) and stirred for 1 h. "
        "The phases were separated and the aqueous phase extracted with Et2O (2 × 50 mL). The combined "
        "organic phases were washed with brine, dried (MgSO4) and concentrated.",
        "quench rochelle_sat 50 | extract diethyl_ether 2x50 | wash brine | dry mgso4 | concentrate",
        False,
    ),
)


@pytest.mark.parametrize(("text", "steps", "unread"), [row[1:] for row in WORKUPS], ids=[row[0] for row in WORKUPS])
def test_reads_a_whole_workup(text: str, steps: str, unread: bool) -> None:
    check_whole(text, steps, unread)
