"""Marks of out and in laps in remarks, in the languages whose headings are known: from memory, ordinary words."""

from __future__ import annotations

import re

from advisor.laps.columns import plain

# whole remarks: too short or too common to be looked for among other words
_OUT_ALONE = frozenset((
    "out", "o", "start", "raus", "sortie", "salida", "uscita", "saida", "uit", "ut", "ud", "ulos", "wyjazd", "vyjezd",
    "lancio", "warm up", "warmup",
))  # fmt: skip
_IN_ALONE = frozenset((
    "in", "i", "pit", "pits", "box", "boxes", "rein", "entree", "rentree", "stand", "stands", "entrada", "rientro",
    "binnen", "inn", "ind", "sisaan", "zjazd", "sjezd", "boxenstopp", "boxenstop",
))  # fmt: skip
# looked for anywhere in a remark; plain() has taken case, accents and hyphens away
_OUT_SAID = re.compile(
    r"\b(?:out ?laps?|warm ?up laps?|rolling lap|einfuhrungsrunden?|einfuehrungsrunden?|aufwarmrunden?"
    r"|aufwaermrunden?|auswarmrunde|ausfahrrunden?|out ?runden?|outrunden?|tours? de (?:sortie|chauffe|lancement)"
    r"|vueltas? de (?:salida|calentamiento)|giro di (?:uscita|lancio|riscaldamento)|volta de (?:saida|aquecimento)"
    r"|uit ?ronde|opwarm ?ronde|ut ?varv|uppvarmningsvarv|oppvarmingsrunde|opvarmningsomgang|ut ?runde"
    r"|lammittelykierros|ulosajokierros|okrazenie (?:wyjazdowe|rozgrzewkowe)|vyjezdove kolo|zahrivaci kolo)\b"
)
_IN_SAID = re.compile(
    r"\b(?:in ?laps?|cool ?down laps?|slow ?down laps?|auslaufrunden?|auslauf|einfahrrunden?|in ?runden?"
    r"|tours? de (?:rentree|decelerations?|stand)|rentree aux stands?|vueltas? de (?:entrada|vuelta a boxes)"
    r"|entrada a boxes|giro di (?:rientro|raffreddamento)|rientro ai box|volta de (?:entrada|desaceleracao)"
    r"|in ?ronde|uitloopronde|in ?varv|nedvarvningsvarv|inn ?runde|jaahdyttelykierros|sisaanajokierros"
    r"|okrazenie (?:zjazdowe|schladzajace)|sjezdove kolo|zajizdeci kolo)\b"
)


def aside(remark: str) -> str:
    """ "out lap" or "in lap" if a remark says so, else nothing."""
    bare = plain(remark)
    if bare in _OUT_ALONE or _OUT_SAID.search(bare):
        return "out lap"
    return "in lap" if bare in _IN_ALONE or _IN_SAID.search(bare) else ""
