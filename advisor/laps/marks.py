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


# words of a remark that tell how a run was driven beside the change, in the languages of the headings; "track" is none,
# for remarks speak of widths
_TELLS = {
    "tyres": "tyre tyres tire tires slick slicks wets reifen reifensatz regenreifen pneu pneus neumatico"
    " neumaticos gomma"
    " gomme banden dack daek rengas renkaat opony pneumatiky",
    "weather": "rain raining rained wet damp drizzle regen nass feucht pluie mouille lluvia mojado pioggia"
    " bagnato chuva"
    " molhado nat regn vat sade marka deszcz mokro dest",
    "fuel": "fuel petrol sprit kraftstoff benzin essence carburant combustible gasolina benzina carburante"
    " brandstof bransle polttoaine paliwo palivo",
    "driver": "driver drivers fahrer pilote piloto pilota rijder coureur forare kuljettaja kierowca jezdec",
    "pressure": "pressure pressures psi druck reifendruck luftdruck pression pressions presion presiones pressione"
    " pressioni pressao bandenspanning tryck paine cisnienie tlak",
}
_TOLD_BY = {word: name for name, words in _TELLS.items() for word in words.split()}


def tells(remark: str) -> set[str]:
    """The conditions that a remark speaks of: tyres of "on new tyres"."""
    return {_TOLD_BY[word] for word in plain(remark).split() if word in _TOLD_BY}


def aside(remark: str) -> str:
    """ "out lap" or "in lap" if a remark says so, else nothing."""
    bare = plain(remark)
    if bare in _OUT_ALONE or _OUT_SAID.search(bare):
        return "out lap"
    return "in lap" if bare in _IN_ALONE or _IN_SAID.search(bare) else ""
