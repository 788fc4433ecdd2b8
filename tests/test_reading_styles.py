"""Whole workups in the styles that people write: telegrams, prose, manuals, lists, tables, slips; and what they are read as."""

from __future__ import annotations

import pytest
from readings import check_whole

# text, steps.
WORKUPS = (
    (
        "Workup: H2O (20 mL), Et2O (3x30 mL), brine (2 x 20 mL), MgSO4. Evaporation gave 1.02 g of crude 5.",
        "wash water 20 | extract diethyl_ether 3x30 | wash brine 2x20 | dry mgso4 | concentrate",
    ),
    (
        "Quenched by dropwise addition of MeOH (2 mL) at 0 °C, then Rochelle's salt (sat. aq., 30 mL). "
        "Stirred vigorously 1 h until two clear layers formed. Aq. layer extd with TBME (2 x 25 mL). Combd "
        "org. layers washed with brine, dried (Na2SO4), filtered through a short pad of Celite, evapd.",
        "quench methanol 2 | quench rochelle_sat 30 | extract mtbe 2x25 | wash brine | dry na2so4 | filter "
        "off desiccant | concentrate",
    ),
    (
        "The mixture was filtered through a plug of silica (eluting with Et2O, 50 mL), and the filtrate was "
        "washed with 1 M aq. HCl (2 × 20 mL), satd aq. NaHCO3 (20 mL), and brine (20 mL), dried over MgSO4, "
        "filtered, and concentrated under reduced pressure.",
        "filter | wash hcl_1m 2x20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | "
        "concentrate",
    ),
    (
        "Volatiles were removed in vacuo and the residue was partitioned between EtOAc (50 mL) and 10% aq "
        "citric acid (30 mL). The organic layer was separated, washed successively with 10% aq citric acid "
        "(30 mL), H2O (30 mL), 5% aq NaHCO3 (2 × 30 mL) and brine (30 mL), dried (Na2SO4), and evaporated to "
        "dryness.",
        "evaporate | dilute citric_10+ethyl_acetate 30 | wash citric_10 30 | wash water 30 | wash nahco3_5 "
        "2x30 | wash brine 30 | dry na2so4 | concentrate",
    ),
    (
        "1 N NaOH (25 mL) was added and the biphasic mixture stirred for 10 min. The phases were separated; "
        "the aqueous one was washed with Et2O (2 × 20 mL; ethereal washes discarded), cooled in ice, "
        "acidified to pH 2 with 2 N HCl and extracted with EtOAc (3 × 25 mL). The combined EtOAc extracts "
        "were washed with brine (25 mL), dried (Na2SO4), and concentrated.",
        "dilute naoh_1m 25 | extract diethyl_ether 2x20 | set ph hcl_2m pH2 | extract ethyl_acetate 3x25 | "
        "wash brine 25 | dry na2so4 | concentrate",
    ),
    (
        "6 M NaOH to pH 13\nextract with DCM 3x25\nbrine, Na2SO4, filt, rotavap",
        "set ph naoh_15pct pH13 | extract dichloromethane 3x25 | wash brine | dry na2so4 | filter off "
        "desiccant | concentrate",
    ),
    (
        "dil EtOAc 100. wash LiCl 5% 4x30, brine 30. dry Na2SO4. evap.",
        "dilute ethyl_acetate 100 | wash licl_5 4x30 | wash brine 30 | dry na2so4 | concentrate",
    ),
    (
        "add H2O 30, sep, aq x EtOAc 2x30 mL, org comb. NaHCO3 x2, brine x1, Na2SO4, conc.",
        "dilute water 30 | extract ethyl_acetate 2x30 | wash nahco3_sat 2x | wash brine | dry na2so4 | concentrate",
    ),
    (
        "RM + 50 mL H2O + 50 mL MTBE. Shake, cut. Aq back-ext MTBE 25. Org: 1N HCl (25), 1N NaOH (25), brine "
        "(25). Na2SO4. Conc to oil.",
        "dilute water+mtbe 50 | extract mtbe 25 | wash hcl_1m 25 | wash naoh_1m 25 | wash brine 25 | dry "
        "na2so4 | concentrate",
    ),
    (
        "quench w/ 1 mL acetone, 30 min. dil w/ H2O 10 mL / Et2O 30 mL. org layer: 2 x 10 mL H2O, 10 mL "
        "brine. dried Na2SO4. conc.",
        "quench acetone 1 | dilute water+diethyl_ether 10 | wash water 2x10 | wash brine 10 | dry na2so4 | concentrate",
    ),
    (
        "Poured in to 200 g ice. Extd CH2Cl2 (50 ml x3). Washed H2O (50 ml x2), NaHCO3 satd (50 ml), brine "
        "(50 ml). Dried Na2SO4. Evapd.",
        "quench ice_water 200 | extract dichloromethane 3x50 | wash water 2x50 | wash nahco3_sat 50 | wash "
        "brine 50 | dry na2so4 | concentrate",
    ),
    (
        "1M HCl → pH 2, EtOAc 3 × 30, brine 30, Na2SO4, evap",
        "set ph hcl_1m pH2 | extract ethyl_acetate 3x30 | wash brine 30 | dry na2so4 | concentrate",
    ),
    (
        "sat. NaHCO3 until basic to litmus, extract w. ether (3x), dry KOH pellets, distil off ether",
        "set ph nahco3_sat pH10 | extract diethyl_ether 3x | dry koh | concentrate",
    ),
    (
        "Having been stirred overnight, the suspension was filtered in order to remove dicyclohexylurea and "
        "the filter cake was washed with cold ethyl acetate. The combined filtrates were washed with 5% "
        "aqueous citric acid, with water, with 5% aqueous sodium bicarbonate, and again with water, in each "
        "case twice with 25 mL. The solution was dried with sodium sulfate and evaporated.",
        "filter | wash citric_5 2x25 | wash water 2x25 | wash nahco3_5 2x25 | wash water 2x25 | dry na2so4 | "
        "concentrate",
    ),
    (
        "The acidic aqueous layer was retained, rendered strongly alkaline (pH 12-13) by addition of 4 M "
        "sodium hydroxide with external cooling, and extracted with dichloromethane (4 × 40 mL). The combined"
        " extracts were dried over potassium carbonate and evaporated under reduced pressure, furnishing the "
        "free amine.",
        "set ph naoh_15pct pH12.5 | extract dichloromethane 4x40 | dry k2co3 | concentrate",
    ),
    (
        "It was found expedient to remove the bulk of the DMF at the oil pump before partitioning the residue"
        " between water (100 mL) and ethyl acetate (100 mL). The aqueous phase was back-extracted with ethyl "
        "acetate (2 × 50 mL) and the combined organic phases were washed with 5% aqueous lithium chloride (3 "
        "× 50 mL) and with brine (50 mL). Drying (Na2SO4) and evaporation gave the title compound.",
        "evaporate | dilute water+ethyl_acetate 100 | extract ethyl_acetate 2x50 | wash licl_5 3x50 | wash "
        "brine 50 | dry na2so4 | concentrate",
    ),
    (
        "The ethereal solution was shaken with three successive portions (15 mL each) of saturated aqueous "
        "sodium bisulfite, the precipitated adduct being filtered off, and then with water and with saturated"
        " sodium bicarbonate solution, before it was dried over calcium chloride and the ether distilled off.",
        "wash nahso3_sat 3x15 | filter | wash water | wash nahco3_sat | dry cacl2 | concentrate",
    ),
    (
        "Salts were removed with water, and the ether was washed with brine (20 mL), dried (MgSO4) and evaporated.",
        "wash water | wash brine 20 | dry mgso4 | concentrate",
    ),
    (
        "The salts were dissolved by adding water (30 mL), the layers were separated, the organic layer was "
        "washed with brine (30 mL) and dried over Na2SO4, and the solvent was removed.",
        "dilute water 30 | wash brine 30 | dry na2so4 | concentrate",
    ),
    (
        "Manganese dioxide was removed by filtration over Celite and washed thoroughly with dichloromethane; "
        "evaporation of the filtrate gave the aldehyde.",
        "filter | evaporate",
    ),
    (
        "1. Transfer the cooled reaction mixture to a 125-mL separatory funnel with the aid of 20 mL of "
        "diethyl ether.\n2. Add 15 mL of water, stopper, and shake gently with frequent venting. Remove the "
        "aqueous layer.\n3. Wash the ether layer with two 15-mL portions of 5% aqueous sodium hydroxide.\n4. "
        "Wash with 15 mL of saturated aqueous sodium chloride.\n5. Dry the ether solution over anhydrous "
        "calcium chloride pellets for 10-15 minutes.\n6. Decant into a tared round-bottom flask and remove the"
        " ether with a rotary evaporator.",
        "dilute diethyl_ether 20 | wash water 15 | wash naoh_5pct 2x15 | wash brine 15 | dry cacl2 | filter "
        "off desiccant | concentrate",
    ),
    (
        "Step 1: Dissolve the crude material in 30 mL of dichloromethane. Step 2: Extract with 3 M HCl (2 x "
        "10 mL). Save the aqueous layers - they contain your amine! Step 3: Combine the acid extracts in an "
        "Erlenmeyer flask, cool in ice and add 6 M NaOH until the solution is basic to litmus paper. Step 4: "
        "Extract with DCM (3 x 10 mL). Step 5: dry (Na2SO4), filter and evaporate.",
        "dilute dichloromethane 30 | take up hcl_3m 2x10 | set ph naoh_15pct pH10 | extract dichloromethane "
        "3x10 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "Add 10 mL of saturated sodium bicarbonate to the flask slowly (foaming!). When gas evolution has "
        "ceased, pour everything into a separatory funnel. Drain the lower aqueous layer into a beaker "
        "labelled 'aqueous waste'. Wash the upper layer once more with 10 mL of bicarbonate and once with 10 "
        "mL of brine. Transfer the upper layer to a dry Erlenmeyer and add drying agent (MgSO4) until it no "
        "longer clumps. Filter by gravity through fluted paper and rinse the MgSO4 with 2 mL of ether. Remove"
        " the solvent.",
        "dilute nahco3_sat 10 | wash nahco3_sat 10 | wash brine 10 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "Shake the solution with 20 mL portions of 10% HCl until a drop of the aqueous layer no longer turns "
        "cloudy when made basic. Then wash with 20 mL water and 20 mL brine; dry with MgSO4; filter; strip.",
        "wash hcl_10pct 20 | wash water 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "first i put the mixture in the seperatory funel and i add 20ml watter. i shake it good and open the "
        "tap for the gas. then i throw the down layer and keep the up layer. then i wash 2 time with 20 ml "
        "NaHCO3 saturate and 1 time with brine. after i dry with MgSO4, filtrate and evaporate.",
        "dilute water 20 | wash nahco3_sat 2x20 | wash brine | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "The organic phase must be wash with hydrochloric acid diluted 1M for remove the pyridine (3 times, "
        "15 mL). After it is wash with sodium bicarbonat satured solution for remove acid. At the end brine. "
        "Dry on Na2SO4, filter and put in rotavapor.",
        "wash hcl_1m 3x15 | wash nahco3_sat | wash brine | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "then we have to wash the product with NaHCO3 5% (10 mL ×2) for neutralize the acid, careful with "
        "CO2, and wash with H2O (10 mL). Aqueous phase is discarded. Organic phase is dried with anhydrous "
        "Na2SO4 and filter. Solvent is removed by rotavap.",
        "wash nahco3_5 2x10 | wash water 10 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "Add 30 mls of aether to the beaker and shake with 10 mls of dilute HCL acid thrice. Throw away the "
        "water. Wash aether with 10 mls soda solution and salt solution. Dry with calcium chlorid over night."
        " Filter. Distil the aether of.",
        "dilute diethyl_ether 30 | wash hcl_1m 3x10 | wash na2co3_10 10 | wash brine | dry cacl2 | filter off"
        " desiccant | concentrate",
    ),
    (
        "i'd neutralize with NaHCO3 (aq) slowly til no more bubbling, then extract the aqueous 3 times w/ 20 "
        "mL portions DCM, combine, dry w MgSO4, filter and rotovap at 40 C",
        "set ph nahco3_sat pH7 | extract dichloromethane 3x20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "you do 3 washes: (i) 1M HCl, (ii) sat bicarb, (iii) brine, all 25 mL. Then you dry it over mag sulf "
        "& filter & rotovap.",
        "wash hcl_1m 25 | wash nahco3_sat 25 | wash brine 25 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "Step,Reagent,Volume (mL),Repeats,Layer kept\n1,1 M HCl,20,2,organic\n2,sat. NaHCO3,20,2,organic\n"
        "3,brine,20,1,organic\n4,MgSO4,,,\n5,filter,,,\n6,evaporate,,,",
        "wash hcl_1m 2x20 | wash nahco3_sat 2x20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "(1) Pour onto ice (100 g); (2) stir 15 min; (3) collect the solid on a Büchner funnel; (4) wash with"
        " cold water (3 × 20 mL); (5) dissolve in ethyl acetate (100 mL); (6) wash with brine (30 mL); (7) "
        "dry over Na2SO4; (8) evaporate.",
        "quench ice_water 100 | filter | dilute ethyl_acetate 100 | wash brine 30 | dry na2so4 | concentrate",
    ),
    (
        "Take up in EtOAc (50 mL) and extract with 1 M HCl (3 x 20 mL). Combine the acid layers and wash once"
        " with EtOAc (20 mL; discard). Basify the aqueous phase to pH 11 with solid K2CO3 and extract with "
        "DCM (3 x 30 mL). Dry over Na2SO4, filter, evaporate.",
        "dilute ethyl_acetate 50 | take up hcl_1m 3x20 | extract ethyl_acetate 20 | set ph k2co3_10 pH11 | "
        "extract dichloromethane 3x30 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "ether soln extracted with 5% NaOH (2 x 25). ether discarded. aq acidified w 6N HCl (Congo red), extd"
        " with EtOAc 3 x 25, EtOAc washed brine, dried MgSO4, evapd.",
        "take up naoh_5pct 2x25 | set ph hcl_6m pH2 | extract ethyl_acetate 3x25 | wash brine | dry mgso4 | "
        "concentrate",
    ),
    (
        "The excess of sodium hydride was destroyed by the cautious addition of water (5 mL). The THF was "
        "evaporated and the aqueous residue extracted with ethyl acetate (3 × 30 mL). The extracts were "
        "washed with water and brine, dried (MgSO4) and evaporated.",
        "quench water 5 | concentrate | extract ethyl_acetate 3x30 | wash water | wash brine | dry mgso4 | concentrate",
    ),
    (
        "A 1:1 mixture of sat. aq. Na2S2O3 and sat. aq. NaHCO3 (40 mL) was added and the mixture stirred "
        "vigorously until both layers were clear (30 min). The organic phase was separated, washed with sat. "
        "aq. NaHCO3 and brine, dried (Na2SO4), filtered and evaporated.",
        "dilute na2s2o3_nahco3 40 | wash nahco3_sat | wash brine | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "The solution was treated with 3% aq. H2O2/2 M NaOH (20 mL) for 1 h at 0 °C, then 10% aq. Na2SO3 (20 "
        "mL) was added and the mixture extracted with ether.",
        "quench h2o2_3 | quench naoh_2m 20 | dilute na2so3_10 20 | extract diethyl_ether",
    ),
    (
        "Neutralised with solid NaHCO3 until effervescence ceased, water (20 mL) added, extracted CH2Cl2 (3 ×"
        " 20 mL), dried MgSO4, evaporated.",
        "set ph nahco3_sat pH7 | dilute water 20 | extract dichloromethane 3x20 | dry mgso4 | concentrate",
    ),
    (
        "The lower layer was run off, the upper toluene layer washed with 5% brine (50 mL) and water (50 mL),"
        " and the toluene solution dried azeotropically (Dean-Stark) and used directly in the next step.",
        "wash half_brine 50 | wash water 50 | dry toluene_azeotrope",
    ),
    (
        "Upper phase discarded, lower phase (DCM) washed 0.5N HCl 3x20 mL, lower phase retained each time, "
        "brine 1x20 mL, Na2SO4, evap.",
        "wash hcl_05m 3x20 | wash brine 20 | dry na2so4 | concentrate",
    ),
    (
        "The water layer was extracted with 2-MeTHF (2 x 5 vol). The combined organic layers were washed with"
        " 10 wt% aq. NaCl (3 vol) and concentrated to 3 vol under vacuum.",
        "extract 2-methf 2x5vol | wash half_brine 3vol | concentrate",
    ),
    (
        "iPrOAc (8 vol) and water (5 vol) were charged, stirred 15 min and settled; the lower aqueous phase "
        "was removed. The organic phase was washed with 5% aq. NaHCO3 (5 vol) and water (5 vol), and "
        "distilled to low volume.",
        "dilute water+isopropyl_acetate 5vol | wash nahco3_5 5vol | wash water 5vol | concentrate",
    ),
    (
        "Water (50 mL) was added and the precipitate was collected by suction, washed with water and cold "
        "ethanol and dried over P2O5 in a desiccator.",
        "dilute water 50 | filter",
    ),
    (
        "The oil was taken up in Et2O, washed with H2O, dried (MgSO4), filtered; HCl in ether was added and "
        "the hydrochloride collected by filtration.",
        "dilute diethyl_ether | wash water | dry mgso4 | filter off desiccant",
    ),
    (
        "Die Reaktionslösung wurde mit 50 mL Wasser versetzt und dreimal mit je 30 mL Dichlormethan "
        "extrahiert. Die vereinigten organischen Phasen wurden mit 30 mL 1 M Salzsäure, 30 mL gesättigter "
        "Natriumhydrogencarbonatlösung und 30 mL gesättigter Natriumchloridlösung gewaschen, über "
        "Magnesiumsulfat getrocknet und im Vakuum eingeengt.",
        "dilute water 50 | extract dichloromethane 3x30 | wash hcl_1m 30 | wash nahco3_sat 30 | wash brine 30"
        " | dry mgso4 | concentrate",
    ),
    (
        "The solution was washed with water (0.1 L × 2), aq. NaHCO3 (5 wt%, 100 mL) and aq. NaCl (20 wt%, 100"
        " mL), then dried (MgSO4, 10 g).",
        "wash water 2x100 | wash nahco3_5 100 | wash half_brine 100 | dry mgso4",
    ),
    (
        "Wash the organic layer with dilute NaOH, then dilute HCl, then water, each about 1/3 the volume of "
        "the organic layer.",
        "wash naoh_1m 0.333333vol | wash hcl_1m 0.333333vol | wash water 0.333333vol",
    ),
    (
        "Ice-cold 0.5 M HCl (20 mL) was used to wash the organic layer quickly, followed immediately by "
        "ice-cold sat. NaHCO3 (20 mL).",
        "wash hcl_05m 20 | wash nahco3_sat 20",
    ),
    (
        "Do not wash with NaOH (it would cleave the acetate); use sat. NaHCO3 (2 × 20 mL) instead, then brine"
        " (20 mL). Dry over MgSO4, filter, evaporate.",
        "wash nahco3_sat 2x20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "No acid wash here because of the acetal. Wash with water 3 x 20 mL to get the DMF out, then brine, "
        "then K2CO3 (dry), filter, evaporate.",
        "wash water 3x20 | wash brine | dry k2co3 | filter off desiccant | concentrate",
    ),
    (
        "Wash with bicarb (this deprotonates benzoic acid, pKa 4.2, so that it goes to the water at pH 8), 2 "
        "x 20 mL. Drain it. Brine 20 mL. MgSO4. Filter. Rotovap.",
        "wash nahco3_sat 2x20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "If an emulsion forms, add a few mL of brine. Otherwise separate. Then wash with 15 mL of water. Dry "
        "(Na2SO4). Decant. Evaporate.",
        "wash water 15 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "Standard workup (EtOAc/H2O; brine; Na2SO4) gave the crude alcohol.",
        "dilute water+ethyl_acetate | wash brine | dry na2so4",
    ),
    (
        "Made acidic to Congo red with 20% H2SO4, extracted with 4 × 50 ml. of ether, ether washed with 25 "
        "ml. of water, dried over Drierite, and solvent removed on the steam bath.",
        "set ph h2so4_1m pH2 | extract diethyl_ether 4x50 | wash water 25 | dry caso4 | concentrate",
    ),
    (
        "EDTA (0.1 M, pH 8, 20 mL) was added, stirred open to air for 1 h until the organic layer was "
        "colourless (Cu removal), layers separated, aq. extracted EtOAc (2 × 20), organics washed NH4Cl/NH4OH"
        " 9:1 (20), brine (20), dried, evaporated.",
        "dilute edta_01m 20 | extract ethyl_acetate 2x20 | wash nh4cl_nh3 20 | wash brine 20 | dry | concentrate",
    ),
    (
        "Add H2O to the flask. Add DCM. Get rid of the top layer. To the bottom layer add HCl (1M, 20 mL) and"
        " shake. Get rid of the top layer. To the bottom layer add NaHCO3 (20 mL) and shake. Get rid of the "
        "top layer. Add Na2SO4. Filter. Evaporate.",
        "dilute water | dilute dichloromethane | wash hcl_1m 20 | wash nahco3_sat 20 | dry na2so4 | filter "
        "off desiccant | concentrate",
    ),
    (
        "The toluene phase was extracted with water (3 x 15 mL), the water phases rejected, and dried by "
        "distilling until no more water separated; the toluene was then stripped.",
        "wash water 3x15 | dry toluene_azeotrope | concentrate",
    ),
    (
        "Quench: dropwise 1:1 MeOH/sat. NH4Cl (10 mL) @ -78. Warm to RT. Partition Et2O (30)/H2O (30). Aq: "
        "Et2O 2 x 15. Comb. org.: H2O 15, brine 15; Na2SO4; evap.",
        "quench nh4cl_sat+methanol 10 | dilute water+diethyl_ether 30 | extract diethyl_ether 2x15 | wash "
        "water 15 | wash brine 15 | dry na2so4 | concentrate",
    ),
    (
        "The product was isolated by extraction with ether (3 x 50 mL) after addition of 100 mL of water. The"
        " ether layers were combined, washed free of DMSO with water (4 x 30 mL) and dried with brine and "
        "MgSO4.",
        "dilute water 100 | extract diethyl_ether 3x50 | wash water 4x30 | wash brine | dry mgso4",
    ),
    (
        "Take the flask out of the ice bath, add 20 mL of saturated ammonium chloride and transfer the two "
        "layers to a separatory funnel. Drain off and save the aqueous layer. Wash the organic layer with 20 "
        "mL of water and then 20 mL of brine. Put the organic layer in an Erlenmeyer flask and dry it with "
        "magnesium sulfate. Extract the saved aqueous layer once with 15 mL of ether and add to the rest.",
        "dilute nh4cl_sat 20 | wash water 20 | wash brine 20 | dry mgso4 | extract diethyl_ether 15",
    ),
    (
        "Washed: 3×H2O, 1×brine; dried: MgSO4; stripped.",
        "wash water 3x | wash brine | dry mgso4 | concentrate",
    ),
    (
        "EtOAc/water partition, org washed bicarb, brine, dried, evap → 850 mg",
        "dilute water+ethyl_acetate | wash nahco3_sat | wash brine | dry | concentrate",
    ),
    (
        "After evaporating the acetone the remaining aqueous mixture is extracted with three 25 ml. portions "
        "of chloroform. The chloroform extracts are combined, washed once with 20 ml. of water, dried over "
        "anhydrous sodium sulfate, filtered, and the chloroform distilled.",
        "evaporate | extract chloroform 3x25 | wash water 20 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "Do NOT use acid. Wash 2 x 15 mL with water, 1 x 15 mL with satd. NaHCO3 and 15 mL brine. Dry with "
        "sodium sulfate. Filter and evaporate.",
        "wash water 2x15 | wash nahco3_sat 15 | wash brine 15 | dry na2so4 | filter off desiccant | concentrate",
    ),
    (
        "The solution is shaken with one third of its volume of 2 M hydrochloric acid, the acid layer is run "
        "off and the process is repeated once. It is then shaken with a third of its volume of water and left"
        " over anhydrous calcium chloride.",
        "wash hcl_2m 2x0.333333vol | wash water 0.333333vol | dry cacl2",
    ),
    (
        "Organic phase: -20 mL 1M HCl (remove DMAP)\n-20 mL sat. NaHCO3 (remove acid)\n-20 mL brine\nDry: MgSO4\n"
        "Filter\nRotary evaporator",
        "wash hcl_1m 20 | wash nahco3_sat 20 | wash brine 20 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "The suspension was poured through a Celite pad, the pad rinsed with EtOAc (3 x 10 mL), the filtrate "
        "washed with 10% aq. NH4OH (3 x 20 mL) until the washes were no longer blue, then brine, then dried "
        "and concentrated.",
        "filter | wash ammonia_10 3x20 | wash brine | dry | concentrate",
    ),
    (
        "Wash the organic layer with 5% HCl (20 mL), discard the acid wash; wash with water (20 mL), discard;"
        " wash with sat. NaHCO3 (20 mL), discard; wash with brine (20 mL), discard. Dry the organic layer.",
        "wash hcl_5pct 20 | wash water 20 | wash nahco3_sat 20 | wash brine 20 | dry",
    ),
    (
        "Nach beendeter Reaktion wurde mit ges. NH4Cl-Lösung (20 mL) gequencht, die Phasen getrennt und die "
        "wässrige Phase mit Et2O (3 × 20 mL) extrahiert. Die vereinigten org. Phasen wurden mit ges. "
        "NaCl-Lösung gewaschen, über MgSO4 getrocknet und das Lösungsmittel unter vermindertem Druck "
        "entfernt.",
        "quench nh4cl_sat 20 | extract diethyl_ether 3x20 | wash brine | dry mgso4 | concentrate",
    ),
    (
        "Add just enough 2 M HCl to bring the pH to 6, then extract with 3 x 20 mL of EtOAc, wash with brine,"
        " dry over MgSO4, filter, evaporate.",
        "set ph hcl_2m pH6 | extract ethyl_acetate 3x20 | wash brine | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "Extract with ether (50, 30, 20 mL). Wash with H2O (20 mL), dry CaCl2, evaporate.",
        "extract diethyl_ether 3x33.3333 | wash water 20 | dry cacl2 | concentrate",
    ),
    (
        "Rxn quenched by slow addition of sat. NaHCO3 (aq., 15 mL), layers sepd. Aq. phase washed w/ DCM (2 x"
        " 10 mL). Org. phases combd, washed w/ H2O & brine (15 mL ea.), dried (Na2SO4), concd.",
        "quench nahco3_sat 15 | extract dichloromethane 2x10 | wash water 15 | wash brine 15 | dry na2so4 | "
        "concentrate",
    ),
    (
        "Base wash: 2 x 25 mL 1 M NaOH. Acid wash: 1 x 25 mL 1 M HCl. Salt wash: 1 x 25 mL brine. Dry: 2 "
        "spatulas MgSO4. Filter. RV.",
        "wash naoh_1m 2x25 | wash hcl_1m 25 | wash brine 25 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "the organic extract is washed 3 times by 10 ml of NaHCO3 5%, then by 10 ml of distilled water, and "
        "dried upon anhydrous Na2SO4. the solvent is eliminated under reduced pressure",
        "wash nahco3_5 3x10 | wash water 10 | dry na2so4 | concentrate",
    ),
    (
        "1. Add NH4Cl (sat., aq., 20 mL). 2. Extract w/ EA (20 mL x 3). 3. Combine EA. 4. Brine wash (20 mL)."
        " 5. Na2SO4, filter, conc. 6. Column (PE/EA 10:1).",
        "dilute nh4cl_sat 20 | extract ethyl_acetate 3x20 | wash brine 20 | dry na2so4 | filter off desiccant"
        " | concentrate",
    ),
    (
        "Cool to 5 °C. Adjust to pH 8–8.5 with 10% K2CO3. Separate. Back-extract aqueous with MTBE (1 vol). "
        "Combine organics. Wash with water (2 × 1 vol). Azeo-dry. Concentrate to a minimum volume.",
        "set ph k2co3_10 pH8.25 | extract mtbe 1vol | wash water 2x1vol | dry toluene_azeotrope | concentrate",
    ),
    (
        "wash #1 - 15 mL 1 M HCl; wash #2 - 15 mL 1 M HCl; wash #3 - 15 mL sat'd NaHCO3; wash #4 - 15 mL "
        "brine. dried w MgSO4. filtered thru cotton. rotovapped.",
        "wash hcl_1m 15 | wash hcl_1m 15 | wash nahco3_sat 15 | wash brine 15 | dry mgso4 | filter off "
        "desiccant | concentrate",
    ),
    (
        "Bring pH to 2 (6N HCl, dropwise, ice bath), EtOAc x3 (30 ml), brine, dry MgSO4, filter, conc → white"
        " solid 1.9 g",
        "set ph hcl_6m pH2 | extract ethyl_acetate 3x30 | wash brine | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "washed with saturated ammonium chloride solution:water (1:1, 40 mL), then brine",
        "wash nh4cl_half 40 | wash brine",
    ),
    (
        "Into the reaction flask pour 25 mL water + 25 mL diethyl ether. Stir for 5 min. Move to separating "
        "funnel. Run off lower layer (aqueous) into beaker A. Keep ether layer. Re-extract beaker A with 2 x "
        "15 mL ether. Bulk the ether. Wash: 15 mL 2M Na2CO3; 15 mL water. Dry: MgSO4. Filter. Evaporate.",
        "quench water+diethyl_ether 25 | extract diethyl_ether 2x15 | wash na2co3_sat 15 | wash water 15 | "
        "dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "Water (2 mL per mmol) was added and the product was extracted with MTBE (3x). Combined MTBE layers: "
        "water wash, brine wash, MgSO4, filtration, rotary evaporation.",
        "dilute water | extract mtbe 3x | wash water | wash brine | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "Wash 1: 20 mL of water. Discard bottom layer. Wash 2: 20 mL of 10% Na2CO3 solution. Discard bottom "
        "layer. Wash 3: 20 mL of saturated NaCl. Discard bottom layer. Pour top layer out of the mouth of the"
        " funnel into a dry flask with CaCl2.",
        "wash water 20 | wash na2co3_10 20 | wash brine 20 | dry cacl2",
    ),
    (
        "The org. layer was extd. 2 × with 10% HCl, the acid exts. were combd., made basic (NaOH), and extd. "
        "with Et2O; the Et2O ext. was dried (K2CO3) and evapd.",
        "take up hcl_10pct 2x | set ph naoh_1m pH10 | extract diethyl_ether | dry k2co3 | concentrate",
    ),
    (
        "Poured onto crushed ice (200 g), stirred 30 min, extracted EtOAc (100 mL, 50 mL), washed 1 M Na2S2O3"
        " (50 mL), brine (50 mL), MgSO4, conc.",
        "quench ice_water 200 | extract ethyl_acetate 2x75 | wash na2s2o3_1m 50 | wash brine 50 | dry mgso4 |"
        " concentrate",
    ),
)


@pytest.mark.parametrize(("text", "steps"), WORKUPS, ids=[text[:40] for text, _ in WORKUPS])
def test_reads_what_is_meant(text: str, steps: str) -> None:
    check_whole(text, steps, unread=False)
