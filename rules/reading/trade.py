"""The words that people use in a written workup: what they call operations, layers, amounts.

Everything here is lower case, with ``sulf`` for ``sulph`` and without hyphens, as ``characters`` compares it.
"""

from __future__ import annotations


def words(text: str) -> frozenset[str]:
    """Return the words of ``text``, between spaces."""
    return frozenset(text.split())


def names(text: str) -> tuple[str, ...]:
    """Return the names in a text that a stroke parts."""
    return tuple(part.strip() for part in text.split("|"))


# Verbs: every form that is read, by what it makes of the phrase around it.
VERBS: dict[str, tuple[str, ...]] = {
    "wash": names(
        "waschen|gewaschen|wasche|nachgewaschen|ausgewaschen|nachwaschen|wash|washed|washing|washes|rewashed|"
        "rewash|washd|shake|shaken|shaking|shook|wased|was washed"
    ),
    "extract": names(
        "extrahieren|extrahiert|extrahiere|ausschütteln|ausgeschüttelt|ausgeethert|ausethern|ausgezogen|extract|"
        "extracted|extracting|extracts|extraction|extractions|shaken out|shake out|reextracted|rextracted|re extracted|re extract|"
        "xtract|ext|extd|extr"
    ),
    "back-extract": names(
        "back extract|back extracted|backextract|backextracted|back extracting|back extraction|back wash|"
        "backwash|backwashed|back washed"
    ),
    "dry": names(
        "trocknen|getrocknet|trockne|dry|dried|drying|dries|predried|dried off|placed over|stored over|"
        "stood over|allowed to stand over|standing over|kept over|left over|stand over|left to stand over|"
        "placed on|"
        "stick it over|stick over|stuck over|leave over|sit over|sat over|put over|put it over|let stand over|"
        "azeodried|azeo dried|azeotropically dried"
    ),
    "filter": names(
        "filtrieren|filtriert|abfiltriert|abfiltrieren|filtriere|abgesaugt|absaugen|filter|filtered|filtering|"
        "filtration|filters|filtrate off|suction filtered|gravity filter|gravity filtered|gravity filt|"
        "gravity filtration|vacuum filter|"
        "suction filter|filt|filtd|refiltered|collected by filtration|filtered off|filter off|"
        "removed by filtration|separated by filtration|isolated by filtration|filtered with suction|"
        "filtering off|filtration off|sucked off|suctioned off|suck off|suction off|polish filtered|polish filter"
    ),
    "decant": names("decant|decanted|decanting|decantation|decantations|decanted off|decant off"),
    "rinse": names("rinse|rinsed|rinsing|rinses"),
    "concentrate": names(
        "einengen|eingeengt|abrotieren|abrotiert|einrotieren|einrotiert|abdestilliert|abdestillieren|abgedampft|"
        "eingedampft|eindampfen|evaporiert|concentrate|concd|concentrating|concentration|evaporate|evaporated|"
        "evaporating|evaporation|evap|evapd|rotovap|rotavap|rotovapped|rotavapped|rotovaped|rotary evaporate|"
        "rotary evaporated|rotary evaporation|rotovapping|roto vap|rota vap|strip|stripped|stripping|"
        "taken to dryness|take to dryness|brought to dryness|reduced to dryness|concentrated to dryness|"
        "solvent removed|solvents removed|remove solvent|coevaporated|co evaporated|coevaporate|rotavapor|"
        "rotovapor|distilled to low volume|distilled to a low volume|"
        "remove the solvent|distilled to remove the solvent|"
        "distilled to remove solvent|removal of the solvent|removal of solvent|removal of solvents|"
        "removal of the solvents|evaporates|solvent was removed|solvent is removed|solvents were removed|"
        "solvents are removed|solvent was distilled|solvent is distilled|solvent distilled|concentrate in vacuo|"
        "stripped off|rotavaped|strip off|boil off|boiled off|stripped of solvent|freed from solvent|"
        "freed of solvent|distilled off|distilling off|distil off|distill off|distilled to dryness|blow down|"
        "blown down|solvent being removed|evaporated off|evaporated down|roto evaporate|rotoevaporated|"
        "evaporating off|driven off|vacuum stripped|freed from the solvent|freed of the solvent|freed from solvents|"
        "freed from its solvent|lösungsmittel im vakuum entfernt|"
        "lösungsmittel unter vermindertem druck entfernt|lösungsmittel entfernt|lösungsmittel abdestilliert|"
        "solvent is eliminated|solvent was eliminated|"
        "vac off|vacuum off|pump off|pumped off|pump down|"
        "pumped down|spin dry|spun dry|spin to dryness|spun to dryness|i vac|i vak|"
        "solvent taken off|solvent is taken off|solvent was taken off|take the solvent off|take off the solvent"
    ),
    "pour": names("emptied|emptied into|tipped|gegossen|gießen|giessen|pour|poured|pouring|pours|dumped|dump|drowned"),
    "quench": names(
        "gequencht|hydrolysiert|quenchen|quench|quenched|quenching|quenches|decomposed|decompose|hydrolyzed|"
        "hydrolysed|hydrolyze|hydrolyse|destroyed|destroy|killed|kill|terminated|terminate|stopped|quenchd|work up|worked up|workup"
    ),
    "dilute": names(
        "verdünnen|verdünnt|verduennt|diluted|dilute|diluting|dilutes|dilution|thinned|layered|overlaid|overlayered"
    ),
    "dissolve": names(
        "gelöst|lösen|aufgenommen|aufnehmen|dissolved|dissolve|redissolved|redissolve|taken up|taken into|"
        "take up|took up|take it up|resuspended|suspended|suspend|dissolving|taking up|redissolving|taken in|"
        "reconstituted|slurried|slurry|dissolves|take into"
    ),
    "acidify": names(
        "ansäuern|angesäuert|angesaeuert|ansaeuern|acidify|acidified|acidifying|acidification|made acidic|"
        "made acid|make acidic|make acid|rendered acidic|acidulated|reacidified|rendered acid|acidulate"
    ),
    "basify": names(
        "alkalisch gemacht|alkalisiert|basisch gemacht|basify|basified|basifying|basification|made basic|"
        "make basic|made alkaline|make alkaline|alkalinized|alkalized|rendered basic|rendered alkaline|"
        "made strongly basic|made strongly alkaline|rebasified|alkalinised|alkalised|basicified|"
        "made slightly alkaline|made slightly basic|alkalify|basicify|alkalified"
    ),
    "neutralize": names(
        "neutralize|neutralise|neutralized|neutralised|neutralizing|neutralising|neutralization|neutralisation|"
        "made neutral"
    ),
    "adjust": names(
        "adjust|adjusted|adjusting|adjustment|brought to ph|bring to ph|bring ph to|bring the ph to|take to ph|"
        "taken to ph|bring to a ph|brought to a ph|raised|lowered|established|set ph|set the ph|ph brought|"
        "ph was brought|ph is brought|ph was set|ph is set|made to ph"
    ),
    "partition": names(
        "partition|partitioned|partitioning|portioned between|distributed between|distribute between|distributed"
    ),
    "combine": names(
        "bulk the|bulked|vereinigt|vereinigen|combine|pool|pooled|"
        "merge|merged|merging|united|are combined|is combined|was combined|were combined|"
        "being combined|combine all|pooling|combining|then combined|and combined"
    ),
    "discard": names(
        "verworfen|verwerfen|discard|discarded|discarding|thrown away|throw away|throw out|thrown out|toss|"
        "tossed|bin|binned|reject|rejected|down the drain|dispose|disposed|discards|chuck|chucked|discared|throw|"
        "get rid of|waste"
    ),
    "keep": names(
        "keep|kept|save|saved|retain|retained|keeping|reserved|collect|collected|collecting|saving|retaining|"
        "isolated|isolate|recovered|recover"
    ),
    "drain": names(
        "drain|drained|run off|ran off|draw off|drawn off|draining|removed|remove|removing|syphoned|siphoned|"
        "separated off|set aside|removal|drained off|drain off|split off|cut off|withdrawn|took off|take off|"
        "taken off"
    ),
    "separate": names(
        "getrennt|trennen|abgetrennt|separate|separated|separating|separation|separates|split|splitted|settle|"
        "settled|phase separation|separated out|separate out|phase separated|divided"
    ),
    "cool": names("cool|cooled|cooling|chill|chilled|cools|chilling"),
    "wait": names(
        "stand|wait|stood|let stand|let sit|let it stand|left to stand|allowed to stand|allow to stand|"
        "let settle|leave|left|allow to settle|sit"
    ),
    "vent": names(
        "vent|vented|venting|release pressure|release the pressure|vents|burp|burped|burping|relieve pressure"
    ),
    "take": names(
        "take the solution up|take the residue up|took the residue up|take residue up|take the crude up|"
        "take the product up|take the mixture up|took the mixture up"
    ),
    "check": names(
        "check ph|check the ph|checked ph|test ph|tested ph|test the ph|ph was checked|ph checked|"
        "check with litmus|check with ph paper|test with litmus|tested with litmus|test with ph paper|ph paper|"
        "litmus paper|litmus|checking ph|checking the ph|measure ph|measure the ph|ph check|verify ph|confirm ph|"
        "test paper|indicator paper"
    ),
    "add": names(
        "versetzt|zugegeben|zugeben|versetzen|add|added|adding|addition|adds|adding in|charged|charge|introduced|"
        "treat|treated|treating|treatment|throw in|throw some|toss in|chuck in|tip in|dump in|drop in"
    ),
    "transfer": names("transferred|transfer|transferring|put|placed in|placed into"),
    "exchange": names("exchanged|solvent exchange|solvent exchanged|solvent swap|solvent swapped|swapped"),
    "repeat": names(
        "repeat|repeated|repeating|do it again|do this again|do that again|did it again|"
        "did this again|did that again|repeat this|repeat it|same again|the same again|"
        "repeat the wash|repeat the extraction|repeat wash|repeat extraction|repeat once|once again"
    ),
    "stir": names("stir|stirred|stirring|swirl|swirled|swirling|mix|mixed|agitated|agitate|agitation|stirs|mixing"),
    "pass": names("passed|pass|percolated|run through|passing"),
    # Known for what they are, but no step of a workup: set aside, or listed where they stand within one.
    "purify": names(
        "chromatographed|chromatography|chromatograph|chromatographic|column|columned|flash|recrystallized|"
        "recrystallised|recrystallize|recrystallise|crystallized|crystallised|recrystallization|"
        "recrystallisation|crystallization|crystallisation|crystallize|crystallise|distilled|distil|distill|"
        "distillation|purified|purify|purification|eluted|eluting|elute|elution|nmr|hplc|tlc|triturated|"
        "triturate|trituration|sublimed|sublimation|recryst|preparative|gradient|recrystalize|kugelrohr|"
        "loaded|loaded onto|fractionated|redistilled|lyophilized|lyophilised|crystallizes|lyophilise|lyophilize|freeze dried|"
        "freeze dry|steam distilled|columning|crystallizing|crystallising|prep tlc"
    ),
    "react": names(
        "reflux|refluxed|heated|heat|heating|refluxing|hydrogenated|warmed|reacted|react|boiled|irradiated|"
        "maintained|allowed to warm|allowed to react|warm|boil|warming|cyclized|reduced|oxidized|brominated|"
        "hydrogenation"
    ),
    "odd": names(
        "centrifuged|centrifuge|centrifugation|sonicated|sonicate|dialysed|dialyzed|azeotroped|azeotrope|"
        "salted out|salt out|saturated with|decolorized|decolourised|decolorised|decolourized|decolorize|"
        "degassed|bubbled|precipitate out|released with|"
        "precipitate with|ion exchange|steam distil|charcoaled|bubble|sparged|sparge|electrolysed|digested|"
        "macerated|adsorbed|saponified|absorbed|flush|flushed|backflushed|filter aid"
    ),
}

# German verbs, which stand at the end of their clause.
VERBS_LAST = words(
    "waschen gewaschen wasche nachgewaschen ausgewaschen nachwaschen extrahieren extrahiert extrahiere ausschütteln "
    "ausgeschüttelt ausgeethert ausethern ausgezogen trocknen getrocknet trockne filtrieren filtriert abfiltriert "
    "abfiltrieren filtriere abgesaugt absaugen einengen eingeengt abrotieren abrotiert einrotieren einrotiert "
    "abdestilliert abdestillieren abgedampft eingedampft eindampfen evaporiert ansäuern angesäuert angesaeuert "
    "ansaeuern alkalisiert verdünnen verdünnt verduennt gelöst lösen aufgenommen aufnehmen gegossen gießen giessen "
    "gequencht hydrolysiert quenchen versetzt zugegeben zugeben versetzen vereinigt vereinigen getrennt trennen "
    "abgetrennt verworfen verwerfen"
)

NUMBERS: dict[str, float] = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "ten": 10, "a single": 1,
    "zwei": 2, "drei": 3, "single": 1, "both": 2,
}  # fmt: skip
# How often, as one word or phrase; the note says what was filled in where the words name no number.
TIMES: dict[str, tuple[int, str]] = {
    "once": (1, ""), "twice": (2, ""), "thrice": (3, ""), "double": (2, ""), "again": (1, ""), "zweimal": (2, ""),
    "dreimal": (3, ""), "einmal": (1, ""), "a second time": (1, ""), "one time": (1, ""), "one more time": (1, ""),
    "several times": (3, "several times: 3 counted"), "many times": (3, "many times: 3 counted"),
    "a few times": (3, "a few times: 3 counted"), "repeatedly": (3, "repeatedly: 3 counted"),
    "thoroughly": (3, "thoroughly: 3 times counted"), "exhaustively": (3, "exhaustively: 3 times counted"),
    "a couple of times": (2, "a couple of times: 2 counted"), "a couple times": (2, "a couple of times: 2 counted"),
    "until neutral": (3, "until neutral: 3 times counted"), "to neutrality": (3, "until neutral: 3 times counted"),
    "till neutral": (3, "until neutral: 3 times counted"), "until neutrality": (3, "until neutral: 3 times counted"),
    "several portions": (3, "several portions: 3 counted"), "some portions": (3, "several portions: 3 counted"),
    "neutral with": (3, "until neutral: 3 times counted"), "multiple times": (3, "multiple times: 3 counted"),
    "several": (3, "several: 3 counted"), "neutral": (3, "until neutral: 3 times counted"),
    "free of acid": (3, "until neutral: 3 times counted"), "acid free": (3, "until neutral: 3 times counted"),
    "until the washings are neutral": (3, "until neutral: 3 times counted"),
    "until the washings were neutral": (3, "until neutral: 3 times counted"),
    "a couple of": (2, "a couple: 2 counted"), "a few": (3, "a few: 3 counted"),
}  # fmt: skip
RELATIVE: dict[str, float] = {
    "equal volume": 1.0, "an equal volume": 1.0, "same volume": 1.0, "the same volume": 1.0, "equal volumes": 1.0,
    "equal amount": 1.0, "equal amounts": 1.0, "1 volume": 1.0, "one volume": 1.0, "half volume": 0.5,
    "half the volume": 0.5, "half a volume": 0.5, "half volumes": 0.5, "half an equal volume": 0.5,
    "twice the volume": 2.0, "two volumes": 2.0, "double the volume": 2.0, "a third of the volume": 1 / 3,
    "one third of the volume": 1 / 3, "one third volume": 1 / 3, "quarter volume": 0.25, "a quarter of the volume": 0.25,
    "same amount": 1.0, "gleiches volumen": 1.0, "1 vol": 1.0, "equal vol": 1.0, "one vol": 1.0, "half its volume": 0.5,
    "its own volume": 1.0, "its volume": 1.0, "half the vol": 0.5, "half vol": 0.5, "1/2 volume": 0.5, "1/2 vol": 0.5,
    "same vol": 1.0, "one half volume": 0.5, "equivalent volume": 1.0, "one quarter volume": 0.25,
    "one third of its volume": 1 / 3, "a third of its volume": 1 / 3, "half of its volume": 0.5, "half of the volume": 0.5,
    "a quarter of its volume": 0.25, "one quarter of its volume": 0.25, "a fifth of the volume": 0.2, "a fifth of its volume": 0.2,
    "one tenth the volume": 0.1, "one tenth of the volume": 0.1, "a tenth of the volume": 0.1,
}  # fmt: skip
VAGUE: tuple[str, ...] = names(
    "a little|a bit of|a bit|some|a small amount of|a small amount|a splash of|a splash|plenty of|lots of|"
    "a few ml|a small portion of|small portions|a little bit of|an excess of|excess|small amount|a drop of|"
    "a few drops of|a few drops|enough|a small volume of|small volumes of|a minimum of|minimal|"
    "a minimal amount of|sufficient"
)
UNITS_ML: dict[str, float] = {
    "ml": 1, "mls": 1, "millilitre": 1, "millilitres": 1, "milliliter": 1, "milliliters": 1, "cc": 1, "ccs": 1, "cm3": 1,
    "l": 1000, "litre": 1000, "litres": 1000, "liter": 1000, "liters": 1000, "lt": 1000, "dm3": 1000, "ltr": 1000,
    "µl": 0.001, "μl": 0.001, "ul": 0.001, "cl": 10, "dl": 100, "gallon": 3785, "gallons": 3785, "milliltr": 1, "mi": 1,
}  # fmt: skip
# After a number these mean neither a volume nor a strength.
OTHER_UNITS = words(
    "g kg mg gm gms gram grams kilogram kilograms mmol mol moles mole mmole mmoles equiv eq equivalents equivalent h hr "
    "hrs hour hours min mins minute minutes s sec second seconds day days c k f deg degrees mm mbar bar torr psi hz mhz "
    "cm m3 parts part lb lbs oz rpm week weeks nm atm mmhg meq °"
)
LONG_TIMES = frozenset(
    {"h", "hr", "hrs", "hour", "hours", "day", "days", "overnight", "week", "weeks", "weekend", "night"}
)

WORDS: dict[str, tuple[str, ...]] = {
    "organic": names("organischen|organischer|organ|organic|ethereal|org|etheral|organische|ethereous|oily"),
    "organics": names("organics|orgs"),
    "aqueous": names("wässrigen|wässrig|aqueous|aq|aqeous|aquous|watery|wässrige|wässriger|aqua|wäßrige|wässr"),
    "layer": names(
        "supernatant|schicht|schichten|layer|phase|layers|phases|washings|fraction|fractions|phasen|liquor|liquors|filtrate|"
        "filtrates|lyr|lyrs"
    ),
    "extracts": names("exts|extracts|extractions|extract|extractives"),
    "soln": names("lsg|solution|soln|solutions|lösung|sol'n|sol|solns|solute"),
    "top": names("top|upper"),
    "bottom": names("bottom|lower"),
    "acidic": names("acidic|acid aqueous"),
    "basic": names("basic|alkaline"),
    "sat": names(
        "gesättigtem|gesättigt|gesaettigt|gesättigtes|sat|satd|saturated|sat'd|saturate|gesättigte|gesättigter|"
        "gesätt|gesättigten|saturd|satured|stad|ges|fully saturated|ges.|gesaettigte"
    ),
    "half": names(
        "half saturated|half sat|half satd|half sat'd|semisaturated|semi saturated|half strength|1/2 saturated|half conc|"
        "half concentrated|semi concentrated"
    ),
    "dil": names("verdünnter|verdünnten|dil|dilute|diluted|weak|verd|verdünnte|verdünnter|very dilute|weakly"),
    "conc": names("conc|concentrated|strong|konz|konzentrierte|conc'd|fuming"),
    "cold": names(
        "cold|ice cold|warm|hot|fresh|icecold|chilled|freshly prepared|lukewarm|distilled|deionised|deionized"
    ),
    "solid_state": names("solid|powdered|pellets|granular"),
    "anhydrous": names("anhydrous|anhyd|dry|anh|anhydr|wasserfreies|calcined|exsiccated"),
    "pct": names("%|percent|per cent|pct|% w/v|% w/w|wt %|% strength|wt.%|%ige|%iger|wt%|% by weight"),
    "molar": names("m|molar|mol/l|mol l|mol/dm3|mol|molal"),
    "normal": names("n|normal"),
    "x": names("x|*|times|time|fold|mal"),
    "portions": names("portions|portion|aliquots|aliquot|parts|batches|lots|washes each|quantities"),
    "volumes": names("volumes|vols|vol|volume|v"),
    "each": names(
        "in each case|ea|each|each time|apiece|respectively each|of each|per wash|per time|each wash|per extraction|each portion"
    ),
    "ph": names("ph"),
    "aux": names(
        "werden|worden|ist|sind|was|were|is|are|be|been|being|has|have|had|wurde|wird|wurden|gets|can|could|"
        "should|would|will|may"
    ),
    "with": names("auf|with|w/|w|using|mit|into|onto|in|over|between|by|via|through|on|upon|to|against|from|per|über"),
    "of": names("of|in the form of|a solution of|a mixture of|mixture of"),
    "conj": names(
        "after by|after with|later by|later with|"
        "followed immediately by|immediately followed by|danach|anschliessend|zuletzt|abschließend|and|then|&|+|followed by|plus|"
        "next|finally|und|dann|"
        "subsequently|again with|lastly|after that|thereafter|then again|and then|and finally|as well as|also|"
        "first|firstly|secondly|second|last|afterwards|anschließend|in turn|successively|sequentially|"
        "consecutively|in succession|in sequence|in that order|in order|respectively"
    ),
    "solid": names(
        "solid|solids|precipitate|precipitates|crystals|filter cake|cake|filtercake|crystalline|ppt|crystal|"
        "desiccant|drying agent|residual solid|filter pad|celite pad|celite|inorganics|salts|magnesium salts|"
        "catalyst|pad|filter|sinter|powder|beads|resin|drying agents|sodium salts|insolubles"
    ),
    "residue": names("residue|oil|gum|crude|crude product|product|concentrate|residual oil|foam|material|residues"),
    "filtrate": names(
        "mother liquor|mother liquors|filtrate|filtrates|reaction mixture|reaction solution|reaction medium|"
        "reaction mass|emulsion|reaction liquid|reaction product mixture|the mixture|the solution|"
        "resulting solution|resulting mixture|this solution|combined solution|combined solutions|this mixture|"
        "obtained solution|two phase mixture|biphasic mixture|the whole"
    ),
    "stop": names(
        "to take out|to get rid of|to pull out|to destroy|to take away|to extract|to give|to afford|to yield|"
        "to obtain|to provide|giving|affording|yielding|to remove|which|before|prior|until|while|because|so that|"
        "to leave|leaving|gave|afforded|yielded|in order|furnished|to produce|whereupon|providing|there|thus|"
        "producing|resulting|obtaining|where|yields|gives|affords|leaves|to get|after|when|to furnish|from which|"
        "to neutralize|to neutralise|as|for"
    ),
    "vacuo": names(
        "in vacuo|in vacuum|under vacuum|under reduced pressure|in air|air|vacuum oven|oven|in a vacuum|"
        "under high vacuum|desiccator|on the filter|at room temperature|at reduced pressure|in the air|"
        "by suction|in vaccuo|vacuum|high vacuum|pump|overnight"
    ),
    "ignore": names(
        "separatory funnel|sep funnel|separating funnel|separation funnel|drying tube|"
        "drying oven|ice bath|water bath|ice water bath|steam bath|oil bath|ice/water bath|ice salt bath|"
        "wash bottle|rotary evaporator|water aspirator|water pump|dry ice|dried glassware|flame dried|oven dried|"
        "room temperature|water cooled|water jet|cold bath|ice/salt bath|ice cooling|ice cooled|water jacket|"
        "water bath temperature|ice methanol bath|dry ice bath|calcium chloride tube|sodium sulfate plug|"
        "half hour|half an hour|salt free|water free|water soluble|ice salt|salt bath|water separator|water trap|"
        "don't forget|do not forget|dont forget|remember|"
        "ice brine bath|ice bath temperature|ice box|icebox|organic acid|organic base"
    ),
    "contra": names(
        "water immiscible|water insoluble|no longer|forgot|forget|skip|skipped|skipping|omit|omitted|"
        "omitting|not|without|never|free from|instead of|do not|don't|no|dont"
    ),
}

# Words of everyday English, and of the reaction, that a slip of the pen must not turn into words of the trade.
NEVER_CORRECTED = words(
    "stopper stoppers stoppered "
    "benzoyl benzo place borane rises rising rise raise acetal phosphonic section divide hydrosulfide solvated white while "
    "remaining provided provides remained phenol amide azide octane these later large reach mixes "
    "wished wasted waste washer basis basic water waters layered player dryer drier driers dyed bride bromine brown "
    "ethers either ethyl ester esters estate acid acids acidic salts solid solvent solvents filler fitted phases phrase "
    "pouring pound pored cooking cooler wish watch combine combined combines dilutes delete sodium sulfate sulfite "
    "extracts exact exactly extra extent portion potion position sulfide sulfone sulfonate sulfated bisulfide bisulfate "
    "chloride chlorine chlorite fluoride chlorate carbonate carbonates carbamate carbonyl nitrate nitrite acetate acetic "
    "citrate nitric citric silica toluate benzoin benzyl hexene heptene pentene butanol pentanol heptanol propanol "
    "methanol ethanol ethane methane propane butane pentane cooled colder warned warms stirs starred stored store "
    "separately separate tested treats treat trained rinds raised vested event bottle better dumped duped pooled polled "
    "filtrate checked shaking shaken organ organic organism coming comes drops dropped added adds ended aided "
    "solution solutions resolution saturation hydrogen hydroxy hydrate hydride ammonium ammonia magnesium calcium "
    "potassium lithium cesium saturated unsaturated concentrations settles isolates evaporates chromatograph phosphate "
    "phosphite phosphine phosphonate tartrate thiosulfate dichloro dichloride trichloride chloroform chloroformate "
    "chlorofom residual residue products produced produce reacts reactor reaction reactant heats heater "
    "brings bring broth brings crushed crashed stands standard sands lefts leave leaves saved saves solved "
    "diluent boiling boiler fresh flesh column columns voluminous volume diethyl dimethyl methyl partial particle "
    "removes takes neutralises neutralizes united visited partially petrol acidify basify alkaline alkali alkaloid"
)
