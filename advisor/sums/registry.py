"""The sums, a row each. A new sum is a formula in `advisor/physics/NAME.py` and a row here; nothing else knows them.

The formula is the function NAME of that file. It takes what the row lists, by name and in SI, and returns a frozen
record whose fields the row lists under `gives`; what the names mean stands in `nomenclature`. A formula refuses what
cannot be by ValueError, with a sentence for a person.
"""

from __future__ import annotations

from advisor.sums.rows import Choice, Sum, Want

MAKER_FIRST = "The maker's figures, the class rules and a licensed mechanic come first."
_SMALL_CHAIN = {"pitch": "7.774 mm"}  # the usual pitch of karts without a gearbox
_SPROCKET_CARE = "Engine off and cool, and never a hand near a chain that turns; set tension and line again."

_VOLUME, _TO_ONE = (
    r"(?:imp )?(litres?|liters?|l|gal|gallons?)\b",
    r"(\d{2} ?(?::| to ) ?1\b|\b1 ?(?::| to ) ?\d{2}\b)",
)
_GEARING = r"gearing|gear ratio|ratio|sprockets?|teeth"
_FIRST = r"^\W*(?:\w+\W+){0,3}"  # few words before the question: who tells more asks for more than a sum
_LONG = r"(?:long|longer|big|fast) (?:\w+ )?(?:straights?|track|circuit)\b"
_TIGHT = r"tight|twisty|hairpins?|(?:short|small|slow|technical) (?:\w+ )?(?:straights?|track|circuit)\b"

_ROWS = (
    Sum(
        name="pressure",
        says="tyre pressure from cold to hot, and back",
        formula="(hot + ambient) / to = (cold + ambient) / at, with temperatures in kelvin",
        source="Gay-Lussac's law for absolute pressures; any text on thermodynamics",
        holds="A sealed tyre with dry air; its volume is taken as constant. The tyre grows a little and water in "
        "the air adds a little. The temperature is that of the air inside, not of the tread.",
        choices=(Choice(("cold", "hot", "to"), 2, 2),),
        needs=("at",),
        assumes={"ambient": "1013.25 hPa"},
        gives=("cold", "hot", "to", "rise"),
        usual={"hot": "0.95 bar", "to": "60 C", "at": "20 C"},
        care=("The hot pressure to aim for is the tyre maker's or your own log's; the class may set a minimum.",),
        asks=(
            r"\b(what|which|how much)\b.*\b(pressures?|psi|bar)\b.*\b(start|set|cold|begin|go out|hot|run)\b",
            r"\b(what|which) (tyre|tire) pressures?\b",
            r"\b(what|which) (cold |hot )?pressures?\b.*\d ?(psi|bar|kpa|c|f|degrees?)\b",
            r"\bwhat\b.*\bset (my|the) (tyres|tires)\b",
            r"\bhow much air\b.*\b(tyres?|tires?|put|start)\b",
            r"\b(cold|starting|start|hot) pressures?\b.*\b(for|from|if|when|at|be)\b.*\d",
            r"\bwhat (will|would|does|do)\b.*\d ?(bar|psi|kpa)\b",
            r"\d ?(bar|psi|kpa)\b.*\bwhat (will|would|do|did|does|cold|hot|should|must|is it)\b",
            r"^(tyres?|tires?|cold|hot|starting) pressures? (for|from|to|at)\b.*\d",
            r"^(?=.*\bcold\b)(?=.*\bhot\b)(?=.*\d ?(psi|bar|kpa)\b)"
            r"(.*\b(cold|hot) from\b|.*\b(cold|hot)\b[^?]*\?|.*\bto (cold|hot)\b|(convert|work out|calculate)\b)",
            r"^(?!.*\bjet)(?=.*\d ?(psi|bar|kpa)\b)(?=(.*\d ?(c|f|degrees?)\b){2})"
            r".*\b(what|what's|how (much|low|high|hot)|which)\b",
        ),
        cues={
            "hot": r"\bhot\b|c[ao]m(?:es?|ing) in|aim|target|end up|finish|after|\bwant\b",
            "cold": r"\bcold\b|\bset\b|start|morning|before|go out",
            "to": r"\bt[yi]res?\b|\bhot\b|(?:gets?|goes|go|going|up) (?:up )?to|reach|warm|c[ao]m(?:es?|ing) in",
            "at": r"\bair\b|ambient|\bcold\b|\bnow\b|\bat\b|\bis\b|\bit's\b|outside|today|morning",
        },
        rising=("at", "to"),
        wants=(
            Want(
                "cold", r"\bcold (?:pressure )?from\b|\bto (?:the )?cold\b|\bcold(?: pressure)?\W*$",
                {"hot": "0.95 bar", "to": "60 C", "at": "20 C"},
            ),
            Want(
                "hot", r"\bhot (?:pressure )?from\b|\bto (?:the )?hot\b|\bhot(?: pressure)?\W*$",
                {"cold": "0.7 bar", "to": "60 C", "at": "20 C"},
            ),
            Want(
                "hot",
                r"\bhow (?:much|many)\b.*\b(?:gain|rise|rises|climb|climbs|go(?:es)? up|build|builds|increase|grow)\b",
                {"cold": "0.7 bar", "to": "60 C", "at": "20 C"},
            ),
            Want(
                "cold",
                r"\b(?:what|how (?:low|high|much)) (?:do|did|should|must|can|shall) (?:i|we)(?: have to| need to)? "
                r"(?:set|start|put|go out|run|pump)\b"
                r"|\b(?:what|which) (?:(?:is|should be) )?(?:the |my )?(?:cold|start(?:ing)?)\b",
                {"hot": "0.95 bar", "to": "60 C", "at": "20 C"},
            ),
            Want(
                "hot",
                r"\bwhat (?:will|would|does|do)\b|\b(?:what|what's|which) (?:(?:is )?(?:it|that|the) )?hot\b"
                r"|\bhow (?:hot|high)\b",
                {"cold": "0.7 bar", "to": "60 C", "at": "20 C"},
            ),
            Want(
                "cold", r"\b(?:what|which|how (?:much|low))\b|pressure", {"hot": "0.95 bar", "to": "60 C", "at": "20 C"}
            ),
        ),
    ),
    Sum(
        name="air",
        says="density of the air, and which way to jet",
        formula="density = (pressure - 0.378 vapour) / (287.05 T); unaltered mixture shifts as the root of density",
        source="ASHRAE Handbook Fundamentals 2017, ch. 1 (moist air); ICAO Doc 7488/3, 1993 (standard atmosphere); "
        "Heywood, Internal Combustion Engine Fundamentals, 1988, 7.2 (carburettor; from memory)",
        holds="-40 to 60 °C, as a mixture of ideal gases: within 0.06 % of the metrologists' formula (CIPM-2007). "
        "Which way to jet holds for a carburettor without its own correction. Two days of one place may both have the "
        "pressure of the forecast: what they differ by is the same.",
        choices=(Choice(("pressure", "qnh")), Choice(("humidity", "dew"), 0, 1),
                 Choice(("set_temperature", "set_density"), 0, 1)),
        needs=("temperature",),
        may=("altitude", "set_pressure", "set_humidity"),
        gives=(
            "density", "air_ratio", "jetting", "air_note", "set_density", "mixture_shift", "density_altitude",
            "pressure", "vapour_pressure", "dry_pressure",
        ),
        usual={"temperature": "25 C", "pressure": "1005 hPa", "humidity": "60 %"},
        care=(
            MAKER_FIRST,
            "Too lean can seize a two-stroke, and a seizure locks the rear wheels: be rather too rich. "
            "Fuel: engine off and cool, in the open, no flame.",
        ),
        asks=(r"\bair density\b.*(\d|\btoday\b)", r"\bdensity altitude\b.*\d",
              r"\b(jet|jetting|richer|leaner)\b.*\b(weather|air|today|hot day|cold day)\b.*\d",
              r"\bjet(s|ted|ting)?\b.*\d ?(c|f|degrees?|hpa|mbar|inhg)\b",
              r"\d ?(hpa|mbar|inhg)\b.*\bjet(s|ted|ting)?\b",
              r"^(?=.*\bjetted\b)(?=.*\b(today|now|it'?s|is)\b).*\d\D+\d",
              r"\b(carb\w*|jet(s|ting)?)\b.*\b(set|tuned|was)\b.*\d ?(c|f|degrees?)\b.*\b(now|today|it'?s|is)\b.*\d"),
        cues={"humidity": "humid", "dew": r"\bdew\b", "temperature": r"\bair\b|temperature|\bat\b",
              "qnh": "qnh|sea level|forecast", "pressure": r"station|place|barometer|at the track|here",
              "altitude": r"altitude|height|high|above|\bup\b|\bat\b"},
        by_cue=("dew", "altitude"),
        wants=(Want("density", r"\d ?(?:m|ft|feet|foot|metres?|meters?)\b",
                    {"temperature": "25 C", "qnh": "1013 hPa", "humidity": "60 %"}),),
    ),
    Sum(
        name="gearing",
        says="sprockets: ratio, speed, revs, what else gives the same",
        formula="ratio = axle_teeth / engine_teeth; per_turn = rollout / ratio; speed = rpm x per_turn",
        source="kinematics of a chain drive; Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 19 "
        "(from memory)",
        holds="One fixed ratio between crankshaft and axle, no slip of tyre or clutch. Speed from a tyre measured off "
        "the ground comes out a few per cent high: roll the kart one turn and measure.",
        needs=("engine_teeth", "axle_teeth"),
        choices=(Choice(("rollout", "tyre_diameter"), 0, 1), Choice(("rpm", "speed"), 0, 1)),
        may=("compare", "engine_kit", "axle_kit"),
        gives=("compared", "ratio", "per_turn", "speed", "rpm", "others", "nearest", "same_ratio", "usual"),
        usual={"engine_teeth": "11", "axle_teeth": "80", "rollout": "867 mm", "rpm": "13900"},
        care=(
            "Of two pairs with one ratio the bigger axle sprocket runs nearer the ground: see the sum clearance.",
            _SPROCKET_CARE,
            "Not past the rev limit of the engine maker; some classes fix the gearing.",
        ),
        asks=(
            r"\b\d{1,2}/\d{2,3}\b.*\b(than|or|and|against|same)\b.*\b\d{1,2}/\d{2,3}\b",
            r"\b\d{1,2}[ /:x-]+\d{2,3} (or|against|versus|vs) \d{1,2}[ /:x-]+\d{2,3}\b",
            r"^(is|are) \d{1,2}[ /:x-]+\d{2,3} (ok|okay|right|good|fine|too)\b",
            r"\b(ratio|gearing|how fast|speed|revs|rpm|longer|shorter|taller|same|match)\b.*\b\d{1,2}[ /:x-]+\d{2,3}\b",
            r"\b\d{1,2}[ /:x-]+\d{2,3}\b.*\b(ratio|gearing|how fast|speed|revs|rpm|longer|shorter|taller|same|match)\b",
            rf"{_FIRST}(what|which|best|right)( is the)? ({_GEARING})\b.*\b({_LONG}|{_TIGHT})",
            rf"{_FIRST}how (should|do|to|must) (i |we )?gear\b.*\b({_LONG}|{_TIGHT})",
            rf"^({_GEARING}) for\b.*\b({_LONG}|{_TIGHT})",
        ),
        leads=(
            (rf"\b({_LONG})", "For a long straight gear taller: fewer teeth on the axle or more on the engine, for "
             "more top speed and less drive out of corners"),
            (rf"\b({_TIGHT})", "For a tight track gear shorter: more teeth on the axle, for more drive out of corners "
             "and less top speed"),
            (rf"\b({_LONG}|{_TIGHT})",
             "How much: begin with what the engine's maker or the class states for such a track, then look at the most "
             "revs on the straight: past the maker's limit, take teeth off the axle; far below it, add some. One tooth "
             "of 80 moves the revs by about 1.2 %. Tell the teeth, the rollout and the revs for the figures"),
        ),
        cues={"rollout": "roll|round|circumference", "tyre_diameter": "diameter|tall|high", "rpm": "rpm|revs",
              "speed": "fast|speed"},
    ),
    Sum(
        name="chain",
        says="links of the chain from the centre distance, and back",
        formula="links = 2 C + (N + n) / 2 + (N - n)^2 / (4 pi^2 C), C in pitches",
        source="ASME B29.1; Shigley & Mischke, Mechanical Engineering Design, ch. 17 (from memory)",
        holds="Two sprockets, chain straight between them. The formula is the usual one; exact geometry asks for up "
        "to a tenth of a link more on a kart, 0.3 mm of centre distance. Slack comes on top.",
        needs=("engine_teeth", "axle_teeth"),
        choices=(Choice(("centre_distance", "links"), 0, 1),),
        assumes=_SMALL_CHAIN,
        gives=("links", "links_exact", "centre_distance", "shorter_distance", "chain_note"),
        usual={"engine_teeth": "12", "axle_teeth": "82", "centre_distance": "203 mm"},
        care=(_SPROCKET_CARE, "A chain that was thrown, is stiff or cracked is thrown away. Use a chain guard."),
        asks=(r"\bchain length\b", r"\b(what|which) links\b",
              r"\bhow (long|many links)\b.*\bchain\b", r"\bchain\b.*\b(how long|many links)\b",
              r"\bhow many links\b", r"\b(what|which) (length |size )?(of )?chain\b.*\d",
              r"\bchain\b.*\d+[ /]\d.*\b(centres?|centers?|apart)\b"),
        cues={"centre_distance": "centre|center|apart|distance", "links": "links?"},
    ),
    Sum(
        name="clearance",
        says="how near the ground the axle sprocket and the chain run",
        formula="clearance = tyre_diameter / 2 - squash - half the sprocket; sprocket p (0.6 + cot(180 / N)), "
        "chain p / sin(180 / N) + 0.95 p",
        source="ASME B29.1 (from memory); makers' outside diameters differ by up to 0.03 in",
        holds="Flat ground, kart level and still. A kerb, a lower pressure and the lean in a corner take more.",
        needs=("axle_teeth", "tyre_diameter"),
        assumes={**_SMALL_CHAIN, "squash": "3 mm", "kerb": "25 mm"},
        gives=("chain_clearance", "sprocket_clearance", "axle_height", "kerb_warning"),
        usual={"axle_teeth": "85", "tyre_diameter": "280 mm"},
        care=("Measure it on the kart with the driver in: the sum knows no bent axle and no other tyre.",),
        asks=(
            r"\b(sprocket|chain)\b.*\b(hit|touch|clear|clearance|ground|kerbs?|curbs?)\b.*\d",
            r"\d.*\b(sprocket|teeth|tooth)\b.*\b(hit|touch|clear|ground|kerbs?|curbs?)\b",
        ),
        cues={"tyre_diameter": "tyre|tire|diameter", "kerb": "kerb|curb", "squash": "sink|squash"},
    ),
    Sum(
        name="premix",
        says="oil in the fuel of a two-stroke, and two batches together",
        formula="oil = fuel / ratio; share of the fuel 1 / ratio, of the mix 1 / (ratio + 1)",
        source="definitions; 25 ml a litre is 40:1, 50 ml is 20:1 (common practice, no source)",
        holds="By volume; gal is the US gallon, imp gal the imperial one. A percentage is of the fuel or of the whole "
        "mix: the two differ, ask which is meant.",
        choices=(
            Choice(("ratio", "oil_per_litre", "oil_of_fuel", "oil_of_mix", "oil")),
            Choice(("fuel", "mix"), 0, 1),
        ),
        may=("other_mix", "other_ratio"),
        gives=(
            "joined_ratio", "oil_to_add", "fuel_to_add", "oil", "fuel", "mix", "ratio", "oil_per_litre", "oil_of_fuel",
            "oil_of_mix",
        ),
        usual={"fuel": "5 l", "ratio": "40:1"},
        care=(
            "The engine maker's ratio and oil come first: too little oil seizes an engine and locks the rear wheels.",
            "Mix in the open, engine off and cold, no smoking, in a can made for fuel; gloves; label the can.",
        ),
        asks=(
            r"^how much oil\W*$",
            r"\b(mix|oil)\b.*\b\d+ ?(?::| to ) ?1\b.*\b(litres?|liters?|l|gal|gallons?)\b",
            r"\bhow much oil\b.*(\d|\b(fuel|petrol|gas|can|tank|mix|litres?|gallons?)\b)",
            r"\boil\b.*\b(for|in|to)\b.*\d.*\b(litres?|liters?|l|gallons?|gal|fuel|petrol)\b",
            r"\b(premix|fuel mix|oil mix|mix ratio)\b.*\d",
            r"\d.*\bhow (much|many)\b.*\boil\b",
            r"\b\d+ ?(?::| to ) ?1\b.*\d ?(litres?|liters?|l|gallons?)\b",
            r"\bwhat (percent|percentage|per cent)\b.*\b\d+ ?(?::| to ) ?1\b",
            r"\bhow (much|many)\b.*\b(stroke|oil|mix)\b.*\d.*\b(litres?|liters?|l|gal|gallons?)\b",
            r"\d ?(ml|cc|%|percent)\b.*\bhow much oil\b",
            r"\bwhat ratio\b.*\d ?(ml|cc|%|percent)\b",
            r"\bhow (much|many)\b.*\bml\b.*\d.*\b(litres?|liters?|l|gal|gallons?)\b",
            rf"^(?=.*(\bratio\b|\bmix\b|\bpercent|%|{_TO_ONE}))(?=.*\d ?(ml|mls|cc|(imp )?fl oz)\b)"
            rf".*(\d|per|\ba|/) ?{_VOLUME}",
            rf"\d ?{_VOLUME}.*{_TO_ONE}.*{_TO_ONE}",
        ),
        cues={
            "fuel": r"fuel|petrol|lit(?:re|er)|gallon|quart|\d ?l\b|\bgal\b",
            "mix": "finished|mix",
            "oil": r"\boil\b",
            "oil_per_litre": r"(?:a|per) lit(?:re|er)|/ ?l\b",
            "oil_of_fuel": "of (?:the )?(?:fuel|petrol)",
            "oil_of_mix": "of (?:the )?(?:whole|mix)",
        },
        wants=(
            Want("ratio", rf"\b(?:what|which) (?:\w+ )?ratio\b|\bratio\W*$"
                 rf"|^(?!.*\bhow (?:much|many)\b).*\d ?(?:ml|mls|cc|(?:imp )?fl oz)\b.*({_TO_ONE}|\bwhat mix\b)",
                 {"fuel": "5 l", "oil": "200 ml"}),
            Want("oil_to_add", rf"^(?!(?:.*\d ?{_VOLUME}){{2}}).*{_TO_ONE}.*{_TO_ONE}",
                 {"other_mix": "3 l", "other_ratio": "50:1", "ratio": "25:1"}),
            Want("joined_ratio", rf"{_TO_ONE}.*{_TO_ONE}",
                 {"mix": "3 l", "ratio": "20:1", "other_mix": "5 l", "other_ratio": "25:1"}),
            Want("oil", r"\boil\b|\bmix\b", {"fuel": "5 l", "ratio": "40:1"}),
        ),
        strict=True,
    ),
    Sum(
        name="weights",
        says="corner weights: total, front, left and cross",
        formula="front = (front_left + front_right) / total; left, cross (front_right + rear_left) likewise",
        source="Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 1",
        holds="Level scales set to zero, driver still in the seat, steering straight, tyres at running pressure.",
        needs=("front_left", "front_right", "rear_left", "rear_right"),
        may=("minimum", "wheelbase"),
        gives=("total", "front", "left", "cross", "over_minimum", "cg_to_axle"),
        cues={name: name.replace("_", " ") for name in ("front_left", "front_right", "rear_left", "rear_right")},
        usual={"front_left": "35 kg", "front_right": "36 kg", "rear_left": "47 kg", "rear_right": "46 kg"},
        care=("43 % on the front and 50 % on the left is where many start (a club's guide); your kart's maker knows.",),
        asks=(r"^(cross( weight)?|corner weights?|(front|nose|left) (percent\w*|weight|split))\b(\D*\d+){4}",
              r"\b(what|which|how much)\b.*\b(cross(?: weight)?|corner weights?|weight split|front percentage)\b.*\d",
              r"\b(cross|corner weights?|scales|corners)\b(\D*\d+){4}.*\b(what|how much)\b",
              r"(\d+\D+){4}.*\bwhat.*\b(cross|front percentage|weight split)\b"),
    ),
    Sum(
        name="ballast",
        says="where lead goes, nearest to the wanted split",
        formula="front gains mass x forward / wheelbase, left gains mass (1/2 + side / track); the sum of both "
        "distances from the targets is made least over whole pieces, with few places near the middle",
        source="Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 1; Wolsey, Integer Programming, 1998, ch. 1",
        holds="A rigid kart with one track width. Places without measures are assumed ones: seat back, seat left, "
        "seat right, seat front, floor, nose. Height is not in it: seat first, low, near the middle.",
        choices=(Choice(("mass", "minimum"), 1, 2),),
        needs=("front_left", "front_right", "rear_left", "rear_right"),
        may=("places",),
        assumes={
            "wheelbase": "1050 mm", "track": "1130 mm", "target_front": "43 %", "target_left": "50 %",
            "piece": "0.5 kg", "place_limit": "5 kg", "per_bolt": "2.5 kg",
        },
        gives=(
            "placing", "bolts", "mass", "front", "left", "total", "over_minimum", "off_target", "front_before",
            "left_before",
        ),
        usual={
            "mass": "4 kg", "front_left": "34 kg", "front_right": "35 kg", "rear_left": "47 kg",
            "rear_right": "46 kg",
        },
        care=(
            "Through bolts of 8 mm at least with lock nuts and large washers, two above 3 kg; federations differ and "
            "the strictest is assumed. Lead that tears loose in a crash is a danger to everybody.",
            "Nothing on what moves or breaks off. Lead is poisonous: gloves, and wash your hands.",
            "Stay about a kilogram over the minimum, and weigh again: scales differ, and fuel burns.",
        ),
        asks=(
            r"\bwhere\b.*\b(put|stick|place|bolt|mount|fit|go|goes)\b.*\b(lead|ballast|weights?|kilos?|kgs?|lbs?|pounds)\b",
            r"\b\d+(\.\d+)? ?(kg|kilos?|lbs?|pounds)\b.*\bwhere\b.*\b(put|stick|place|bolt|mount|fit|go)\b",
            r"\bwhere\b.*\b(lead|ballast)\b.*\b(put|stick|place|bolt|mount|fit|go)\b",
            r"\d ?(kg|kilos?|lbs?|pounds)( of)? (lead|ballast)\b.*\bwhere\b",
            r"\bhow much (lead|ballast)\b.*\b(need|add|bolt|put|fit|carry|minimum|class|weight)\b",
        ),
        cues={"mass": r"\bput\b|\badd\b|lead|ballast|place|bolt",
              "minimum": r"minimum|\bmin\b|at least|class|limit|make weight|weigh in|\breach\b|get to|up to"},
    ),
    Sum(
        name="cg",
        says="height of the centre of gravity, by lifting one axle",
        formula="height = line of the axles + wheelbase (low_mass - its level load) / (mass tan(angle)), "
        "sin(angle) = lift / wheelbase",
        source="Milliken & Milliken, Race Car Vehicle Dynamics, 1995, ch. 18 (from memory); R. Gray, 1997",
        holds="Wheels free to turn, brake off, tank full or empty, driver still. Lift as high as is safe: a kilogram "
        "of error on the scales moves the answer as told under per_kilogram.",
        needs=("front_mass", "rear_mass", "low_mass", "lifted", "lift", "wheelbase"),
        assumes={"front_radius": "128 mm", "rear_radius": "138 mm"},
        gives=("cg_height", "per_kilogram", "cg_to_axle"),
        usual={
            "front_mass": "70 kg", "rear_mass": "93 kg", "low_mass": "75 kg", "lifted": "rear",
            "lift": "400 mm", "wheelbase": "1050 mm",
        },
        care=(
            "A lifted kart can slide off: a stand made for it, low wheels blocked fore and aft, two people, nobody "
            "below, no hands between. Empty first; with a driver only with a helper on each side, helmet on.",
        ),
        cues={"front_mass": "front", "rear_mass": "rear|back", "low_mass": "low|down", "lift": "lift|raise|up"},
        asks=(r"\b(how high|height)\b.*\b((centre|center) of (gravity|mass)|c of g|cog|cg)\b",
              r"\bcg height\b.*\b(how|what|measure)\b"),
    ),
    Sum(
        name="loads",
        says="what each wheel carries in a corner, when the inside rear lifts, which end gives up first",
        formula="statics give the load of each axle and the moment m a h; tyres, axle and frame share it out so that "
        "their energy is least; the steering's jacking twists the frame",
        source="Deakin, Crolla, Ramirez & Hanley, SAE 2000-01-3554 (frame in series between the axles); Milliken & "
        "Milliken, Race Car Vehicle Dynamics, 1995 (steering geometry, from memory)",
        holds="A steady corner without bumps or heat; one kart, no spread: whatif tells both ends. No height of the "
        "mass and no tyre rate of a kart was found measured, so trust comparisons more than sizes.",
        choices=(Choice(("lateral", "speed"), 1, 1),),
        may=("steer",),
        assumes={
            "radius": "15 m", "along": "0", "total": "165 kg", "wheelbase": "1050 mm", "front": "43 %",
            "cg_height": "250 mm", "cg_offset": "0 mm", "front_track": "1080 mm", "rear_track": "1170 mm",
            "caster": "15 deg", "inclination": "11 deg", "arm": "90 mm", "front_rate": "106 N/mm",
            "rear_rate": "277 N/mm", "frame": "194 Nm/deg",
        },
        gives=(
            "front_inner", "front_outer", "rear_inner", "rear_outer", "rear_height", "lifts_at", "lands_at", "tips_at",
            "first_end", "front_in_hand", "rear_in_hand", "axle_moment", "axle_drag", "lateral", "steer",
        ),
        usual={"lateral": "1.2"},
        wants=(
            Want("lifts_at", r"\binside (?:rear|wheel)\b.*\b(?:lift|leave|come)|\blift\w* the inside",
                 {"lateral": "1.2"}),
        ),
        care=("A kart that goes over hurts: never try on the track how far it leans.",),
        asks=(
            r"\b(what|how much)\b.*\b(each wheel|inside rear|wheel loads?)\b.*\bcarr(?:y|ies)\b",
            r"\bwheel loads?\b.*\d",
            r"\b(when|at what|how many g)\b.*\binside rear\b.*\b(lifts?|leaves?)\b.*\d",
            r"\b(at what|how many) gs?\b.*\binside (rear|wheel)\b",
            r"\bhow many gs?\b.*\d ?(km/h|mph|m/s)\b",
            r"\b(wheel loads?|inside rear)\b.*\d ?gs?\b",
        ),
        cues={"speed": r"\bat\b|corner|speed", "radius": "radius|corner"},
    ),
    Sum(
        name="mixture",
        says="rich or lean, and whether a change of the carburettor did what it should",
        formula="lambda = afr / stoichiometric; more_fuel = lambda / target - 1; stoichiometric: mean by mass of "
        "14.7 (petrol), 9.0 (ethanol), 6.45 (methanol)",
        source="Heywood, Internal Combustion Engine Fundamentals, 1988, 3.4; Welch, Biometrika 34, 1947",
        holds="Readings at the same place of the track, engine hot; before=@FILE and after=@FILE read a log (one "
        "column, or one headed lambda). In a two-stroke's exhaust is air that never "
        "burnt and oil, so a probe reads off by an unknown amount: compare with your own log, not with a book.",
        choices=(Choice(("lambda", "afr"), 0, 1),),
        may=("target", "before", "after"),
        assumes={"ethanol": "0 %", "methanol": "0 %"},
        gives=(
            "state", "verdict", "lambda", "afr", "phi", "more_fuel", "stoichiometric", "before_mean",
            "after_mean", "change", "standard_error",
        ),
        usual={"afr": "12.8", "target": "0.88"},
        care=(
            "The maker's base setting first, then one change, proved by the log; the other way if it was wrong "
            "(common practice, no source).",
            "Too lean can seize a two-stroke, and a seizure locks the rear wheels: be rather too rich.",
        ),
        asks=(r"\d.*\b(lambda|afr|air.fuel)\b.*\b(rich|lean)\b",
              r"\b(lambda|afr|air.fuel)\b.*\d.*\b(rich|lean)\b", r"\begt\b.*\d.*\b(lambda|afr)\b.*\d",
              r"\b(lambda|afr)\b\D{0,12}\d+\.\d+.*\b(target|aim)\b.*\d", r"\b(afr|lambda) .*\b(afr|lambda)\b.*\d",
              r"\b(lambda|afr)\b.*\d.*\bread(s|ing)?\b.*\d",
              r"\b(lambda|afr)\b.*\d.*\b(more|less|much) fuel\b",
              r"\b(rich|lean)\b.*\b(lambda|afr|air.fuel)\b.*\d"),
        cues={"lambda": "lambda", "afr": "afr|air.fuel", "target": "target|aim"},
    ),
)  # fmt: skip
SUMS = {row.name: row for row in _ROWS}
