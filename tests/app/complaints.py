"""What people typed in the pits: twelve kinds of users as they were met, twice twelve that nobody tuned to."""

from __future__ import annotations

MET = (
    "all over the place since lunch, was mint this morning",
    "wont turn in the tight ones, scared of the fast right",
    "hops late in the run on the hard slick, 85 kg",
    "four stroke, bogs out of the hairpin",
    "lost half a second since I changed the sprocket",
    "no grip anywhere",
    "it dried during the race and now the rear steps out",
    "bent after a kerb, lefts bad, rights ok",
    "pedal getting longer",
    "So yesterday at our club round it was fine until the final, then the kart goes up on two wheels in the long left, "
    "even my mate saw it, track was rubbered in and hot, we run new soft tyres and I am tall",
    "kart is slow",
    "rear no grip",
)
FRESH = (
    "the arse end overtakes me into turn one",
    "understeers everywhere after i fitted new front tyres",
    "its bouncing so bad i cant see, only when it gets hot",
    "engine dies when i let off then picks up again",
    "wheel shakes on the straight since yesterday",
    "dad says my line is bad but the kart pushes on exit",
    "smells of petrol after the race",
    "rear is planted but slow out of corners, bogged down",
    "my hands go numb after five laps",
    "kart two wheels in the long left when new rubber is on",
    "brakes pull to the right",
    "everybody faster on the straight, corners ok",
)
UNTUNED = (
    "kart tucks under when i turn in and then washes out",
    "cant keep up on the back straight but fly through the infield",
    "steering goes light over the crest and it wanders",
    "left front tyre is worn on the inside only",
    "my daughter says the wheel kicks back over the bumps",
    "it grips so hard mid corner that the engine bogs down",
    "cold morning, first laps like ice, then fine after four laps",
    "after the rebuild it revs out early and stays flat",
    "spun twice at the chicane under braking",
    "the thing just feels dead, no idea",
    "chain keeps jumping when i get on the gas",
    "right handers great, left handers it three-wheels and slides",
)
