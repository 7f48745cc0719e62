"""Every number that the reasoning assumes about karts, people and a race day, each with its unit, reason and source.

Read as `assumed.NAME` where they are used, never imported by name, so that one place tells what is believed and a test
may move it: `python -m tests.real_complaints.constants` moves each and prints which move the first change most.
The type is the unit. How long a list is shown and how far a search looks are no assumptions and stand where they are
used; so do the thresholds of the ear (`inference.hearing`) and the weight of the words (`inference.belief`).
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.model.case import Verdict
from advisor.model.scale import PROBABILITY

Chance = float  # a probability or a share, 0 to 1
Times = float  # a factor, above 0
Cases = float  # what a word is worth, in complaints, answers or trials
Minutes = float
Seconds = float
Days = float
Count = int

# --- answers and base rates (inference.tables) --------------------------------------------------------------------

MISTAKEN: Mapping[str, Chance] = {"remember": 0.08, "look": 0.05, "measure": 0.02}
"""Answers that are misheard, misread or misremembered, and then fall as usual, by what they take. Ours, no source."""

FEEL_MISTAKEN: Chance = 0.05
"""The same of what is felt, and where. Ours, no source."""

UNLISTED_CELL: Chance = PROBABILITY["exceptionally unlikely"]
"""How often a cause is felt where its author did not say so, before the row is made to add up. Ours, no source."""

TRADE_CASES: Cases = 100.0
"""Worth of the trade's word on the share of a group, beside the complaints that were counted. Ours, no source."""

USUAL_CASES: Cases = 20.0
"""Worth of the usual share of an answer, beside what the complaints of a group told. Ours, no source."""

WORD_CASES: Cases = 30.0
"""Worth of the authors' words on the causes of one group, beside what was counted. Ours, no source."""

# --- belief (inference.belief, inference.pairs) -------------------------------------------------------------------

OWN_CAUSE: Chance = 0.4
"""A second fault has a cause of its own this often; then it tells nothing about the first. Ours, no source."""

CHANGED: Times = 6.0
"""Odds of a change that was made against itself, whatever else is told. Common practice, no source."""

MISSED: Chance = 0.25
"""An inspection that a stop asked for and that found all sound still misses the danger. Ours, no source."""

TWO_AT_ONCE: Chance = 0.15
"""Complaints behind which two causes are at work together. Ours, no source."""

# --- what levers do (inference.cures, inference.trials) -----------------------------------------------------------

GEOMETRY: Chance = 0.99
"""Statics do not change sign; what is left is a part turned the wrong way by mistake. Ours, no source."""

EACH_WAY: Cases = 1.0
"""Sources that a direction is worth each way before any is read: the mean of Beta(A + 1, D + 1), a uniform prior.
Source: Laplace's rule of succession; Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.1."""

TRUSTED: Chance = 0.95
"""A trusted fix acts as stated: what it takes to trust one (learning.fixes). Ours, no source."""

PUT_BACK: Chance = PROBABILITY["very likely"]
"""Putting back what was changed cures where the change was the cause. Ours, no source."""

VERDICT_IF: dict[str, dict[Verdict, Chance]] = {
    "cured": {"better": 0.85, "same": 0.12, "worse": 0.03},
    "nothing": {"better": 0.15, "same": 0.70, "worse": 0.15},
    "hurt": {"better": 0.05, "same": 0.30, "worse": 0.65},
}
"""P(verdict | what the change really did): drivers and stopwatches err. Elicited, no source."""

LAPS_TELL: Chance = 0.8
"""What a change did shows on the stopwatch this often; else the laps say nothing of it. Ours, no source."""

# --- what a team found out (learning) -----------------------------------------------------------------------------

PRIOR_TRIALS: Cases = 4.0
"""Worth of the word of the trade on what a lever does, beside a team's own trials. Ours, no source."""

PRIOR_HOLDS: Chance = 0.8
"""The word of the trade is about karts like this one. Ours, no source."""

ALIKE: Mapping[str, tuple[Chance, Chance]] = {
    "kart": (0.5, 0.8),
    "class": (0.5, 0.9),
    "tyres.kind": (0.1, 0.8),
    "tyres.compound": (0.6, 0.9),
    "track": (0.3, 0.8),
}
"""What a trial counts where the two days differ in this, and where it is not known. Ours, no source."""

FAULT_ALIKE: Mapping[str, tuple[Chance, Chance]] = {"balance": (0.0, 0.5), "phase": (0.5, 0.7)}
"""Likewise of what the fault felt like. Ours, no source."""

SAME_DAY: Days = 0.5
"""Within so many days a trial may be one of the present search. Ours, no source."""

HALF_LIFE: Days = 365.0
"""After so many days a trial counts half. Ours, no source."""

MOST_FACTOR: Times = 3.0
"""Trials alone never make a lever act more than so many times as often as the trade has it. Ours, no source."""

TRADE_WORTH: Cases = 80.0
"""Worth of the trade's base rates beside a team's own cases. Fitted: of 96 places that told of 325 troubles in all,
most of them one team's diary, each was foretold from the others of its place; 80 to 120 foretell best (mean log chance
-5.51; nothing learnt -5.55; 20: -5.58). `python -m tests.real_complaints.teams` prints the table."""

TEAM_VERDICTS: Cases = 20.0
"""Worth of the trade's word on how often a driver's word is wrong, in verdicts of a team. Fitted: on 120 invented
seasons of two drivers whose log odds of a wrong word vary by .5 between teams and by .5 within, which is ours; 20
foretells best what changes really did (by .0031 a word over nothing learnt; 5: .0015; 80: .0025). No diary tells how
far teams differ. `python -m tests.properties.rates fit` prints the table."""

DRIVER_VERDICTS: Cases = 20.0
"""Worth of what holds for the team beside the verdicts of one driver. Fitted: likewise; 20 to 40 are alike, 5 loses
half of it."""

ANSWERS_TRADE: Cases = 20.0
"""Worth of the trade's word on how often a kind of question is answered, in answers of a team. Fitted: on 100 invented
teams whose log odds of an answer vary by .6 between teams and by .6 between questions, which is ours, by the same
command; 20 foretells best whether a question is answered (by .0117 over nothing learnt; 5: .0071; 40: .0113)."""

ANSWERS_QUESTION: Cases = 20.0
"""Worth of what holds for the kind beside the answers to one question. Fitted: likewise; 20 to 40 are alike."""

FOUND: Chance = 0.95
"""Something was really mended where an inspection was told to have found and mended it. Ours, no source."""

CASE_ALIKE: Mapping[str, tuple[Chance, Chance]] = {"kart": (0.5, 0.8), "class": (0.5, 0.9)}
"""What a case of another kart or class counts; what the fault felt like and the tyres were makes no difference to how
often a cause is behind a fault. Ours, no source."""

ONE_SEARCH: Days = 0.5
"""Trials of one kart against one fault within so many days are one search, which ends in one cure. Ours, no source."""

FIX_TRIALS: Count = 3
"""Trials with a verdict, whatever they say, before a fix may be trusted. Ours, no source."""

FIX_FITS: Chance = 0.1
"""A fix that names a cause and no fault fits from this probability of the cause on. Ours, no source."""

# --- what a change costs, and which comes first (planning.ranking, planning.steps, planning.bundles) ---------------

RUN_MINUTES: Minutes = 20.0
"""One run to judge a change: the wait, warming up, a few laps, coming in. Common practice, no source."""

SAID_MOST: Times = 10.0
"""What mechanics try first raises or lowers the worth of a way at most so many times. Ours, no source."""

OTHER_WAY: Chance = 0.35
"""Part of the opposite's chance that counts for a way: a wrong way tells at once to go the other. Ours, no source."""

SPOILS: Chance = PROBABILITY["unlikely"]
"""A kept effect is spoilt when a change takes it away this often. Ours, no source."""

SURE: Chance = 0.5
"""A way that acts as stated less often than this is no advice, and spoils nothing. Ours, no source."""

UNPREPARED: Times = 4.0
"""By how much what needs no preparing comes after what does, the day before. Ours, no source."""

LOOKS_AT_ONCE: Count = 3
"""An inspection looks at no more things in one visit. Ours, no source."""

VISIT_MINUTES: Minutes = 25.0
"""Nor does it take longer. Ours, no source."""

WORTH_A_LOOK: Times = 0.25
"""Nor does it look at what is less likely than this part of the likeliest. Ours, no source."""

LEAST_STEP: Times = 0.3
"""A step cut to less than this share of itself is not worth a run. Ours, no source."""

AT_ONCE: Count = 3
"""Changes before one run, to fix it now; more could not be undone one by one in a day. Ours, no source."""

AT_ONCE_MINUTES: Minutes = 25.0
"""Their work in all. Ours, no source."""

MINUTE_OF_RUN: Times = 0.01
"""What a minute of work counts of a run, to fix it now. Ours, measured in the virtual paddock: fewer runs than pricing
in minutes, and no more harm."""

BUNDLE_GAIN: Chance = 0.001
"""What a further change must add to the chance that the bundle cures. Ours, no source."""

# --- what to ask, to look at, and when to stop (planning.questions, look_over, alarms, stopping) -------------------

GIVE_UP: Minutes = 300.0
"""A fault that stays: about the running of a day, and a specialist's look. Ours, no source."""

DANGER_MINUTES: Minutes = 30.0
"""Driving on with a dangerous fault; low, because danger is met by stopping, not by price. Ours, no source."""

ANSWERED: Mapping[str, Mapping[str, Chance]] = {
    "": {"remember": 0.9, "look": 0.6, "measure": 0.4},
    "driver": {"remember": 0.9, "look": 0.2, "measure": 0.1},
    "helper": {"remember": 0.5, "look": 0.9, "measure": 0.5},
    "both": {"remember": 0.9, "look": 0.9, "measure": 0.5},
}
"""A question gets an answer at all in the pits, by who is there and what it takes. Ours, no source."""

ANSWERED_WORTH: Cases = 1.0
"""Worth of that word, in answers, beside those that these people could give so far. Ours, no source."""

UNANSWERED: Times = 2.0
"""A question that stayed open counts so many times: who passes over several wants to get on. Ours, no source."""

READING: Seconds = 30.0
"""To read a question and to type its answer, beside finding it out. Ours, no source."""

TELLS: Times = 0.25
"""The share of the minutes still expected that a nat about what to do saves. Ours: on small models .25 comes nearest to
the exact optimum (mean regret 1 to 2 %, at .1 and .5 2 to 3 %)."""

LIST_SECONDS: Seconds = 120.0
"""A look-over is gone through in this. Ours, no source."""

TICK: Seconds = 5.0
"""To read one line of it and to tick it. Ours, no source."""

SOUND: Chance = PROBABILITY["likely"]
"""An answer that is given this often, and alarms nobody, is how a sound kart looks. Ours, no source."""

OFF: Chance = PROBABILITY["very unlikely"]
"""An answer as rare as this is what a look is for. Ours, no source."""

OFTEN: Chance = 0.02
"""A look at what is found off more rarely than this with the complaint is no line of a list: nobody looks at the
starter because the rear slides. Ours, no source."""

ASKS: Chance = 0.06
"""Chance of danger by the sound of the words from which it is asked about. Ours, see `tests.ear.danger`."""

SEEN_TO: Times = 2.0
"""Once a stop was cleared, likely dangers must weigh so many times what a stop is worth: the same words told them, and
they were looked at once. What is told outright stops all the same. Ours, no source."""

PART_STANDS_OUT: Chance = 0.1
"""Chance of its alarm, by the words, from which a question of danger stands out; below it the whole kart is asked
about. Ours, chosen by looking at two authors of dangers (`tests.ear.danger`)."""

STANDS_OUT: Chance = 0.1
"""A change with less chance than this does not stand out: what to look at or ask stands before it. Ours, no source."""

NOT_THE_KART: Chance = 0.5
"""Belief in the track and the day from which nothing is changed: more likely than not. Ours, no source."""

PATIENCE: Times = 3.0
"""The plan does not know of the questions that come after each run, so it gives up too early at 1: then after one
failure in a quarter of complaints (84, in words), at 3 in 18 %. Ours; minutes in the virtual paddock, 50 cases each of
our world and a foreign one (`python -m tests.paddock.stops 50 400`): 209, 259 at 1; 232, 285 at 3; 237, 300 at 4; 276,
366 where it never gives up."""
