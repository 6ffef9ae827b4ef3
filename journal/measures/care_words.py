"""German words that ask for care in the plan of a trial, by what they are about (`trial_care`).

German writes compounds as one word, so "*" stands for any letters: "*tablette*" is in "Schlaftabletten". Where that
would find too much, the compounds are listed: "wein" is in "Schwein", "arzt" in "Schwarztee". A list of our own.
"""

from __future__ import annotations

import functools
import re

GERMAN: dict[str, tuple[str, ...]] = {
    "medicine": (
        "*abführmittel*", "*antibiotik*", "*antidepressiv*", "*antihistamin*", "*arznei*", "*aspirin*",
        "*augentropfen*", "*benzodiazepin*", "*beruhigungsmittel*", "*betablocker*", "*blutdruck*", "*blutverdünn*",
        "*cortison*", "*dosierung*", "*dosis", "dosen", "*eisenpräparat*", "*hormon*", "*hustensaft*",
        "*ibuprofen*", "*impfung*", "*inhalator*", "*insulin*", "*kapsel*", "*kortison*", "*lithium*",
        "*medikament*", "*medizin*", "*melatonin*", "*nahrungsergänzung*", "*nasenspray*", "*nasentropfen*",
        "*paracetamol*", "*pille", "*pillen", "*präparat*", "*salbe*", "*schlafmittel*", "*schlaftropfen*",
        "*schmerzmittel*", "*spritze", "*spritzen", "*statin*", "*steroid*", "*tablette*", "*thyroxin*", "tropfen",
        "*verhütung*", "*vitamin*", "*zäpfchen*",
    ),
    "treatment": (
        "arzt*", "ärzt*", "augenarzt*", "augenärzt*", "diagnos*", "facharzt*", "fachärzt*", "frauenarzt*",
        "frauenärzt*", "hausarzt*", "hausärzt*", "hautarzt*", "hautärzt*", "klinik*", "krankengymnastik*",
        "*krankenhaus*", "notarzt*", "operation*", "operiert*", "physio*", "psychiat*", "psycholog*", "reha",
        "*therapeut*", "*therapie*", "*verboten*", "*verordne*", "*verschrieb*", "*verschreib*", "zahnarzt*",
        "zahnärzt*",
    ),
    "food": (
        "abführen", "abnehmen", "abzunehmen", "bulimi*", "*diät*", "entgift*", "entschlack*", "*erbrech*",
        "essanfall*", "*essanfälle*", "*fasten", "fastenkur*", "fastentag*", "faste", "fastet", "gefastet",
        "hungern", "*kalorie*", "keto*", "*kohlenhydrat*", "magersucht*", "mahlzeit auslassen",
        "mahlzeiten auslassen", "nichts essen", "weniger essen", "ohne abendessen", "ohne frühstück",
        "ohne mittagessen", "kein abendessen", "kein frühstück", "kein mittagessen", "abendessen auslassen",
        "frühstück auslassen", "mittagessen auslassen", "abendessen weglassen", "frühstück weglassen",
        "mittagessen weglassen",
    ),
    "sleep": (
        "aufbleiben", "durchmachen", "ganze nacht", "kein schlaf", "nacht durch", "ohne schlaf", "*schlafentzug*",
        "*schlaflos*", "wach bleiben", "wachbleiben", "weniger schlaf", "weniger schlafen", "weniger schlafe",
    ),
    "drink": (
        "*alkohol*", "*betrunken*", "bier", "biere", "bieres", "feierabendbier*", "glühwein*", "haschisch*",
        "joint*", "kiffe*", "gekifft", "*likör*", "nikotin*", "nüchtern*", "rauche", "rauchen", "raucht",
        "*geraucht", "rotwein*", "schnaps*", "schnäpse*", "sekt", "*tabak*", "*trinken aufhören", "weißwein*",
        "wein", "weines", "weins", "wodka*", "*zigarette*", "*zigarre*",
    ),
}  # fmt: skip

MEANS_ELSE = {"de": frozenset({"fast", "dose"}), "en": frozenset({"operation*", "dosen", "joint*", "reha"})}
"""Words that mean something else in a journal of that language: German "fast" is "almost" and "Dose" a tin."""


def german(plain: str, *, language: str) -> list[str]:
    """The words of a text that a German word of care is found in, as they stand there, each once.

    In: a text with single spaces; the code of the journal's language.

    >>> [german(text, language="de") for text in ("Schlafe ich ohne Schlaftabletten besser?", "Ein Schwein füttern")]
    [['Schlaftabletten'], []]
    """
    left_out = MEANS_ELSE.get(language, frozenset())
    words = (word for group in GERMAN.values() for word in group if word not in left_out)
    found = (match for word in words for match in _pattern(word).findall(plain))
    return list(dict.fromkeys(found))


@functools.cache
def _pattern(word: str) -> re.Pattern[str]:
    return re.compile(r"\b" + re.escape(word).replace(r"\*", r"\w*") + r"\b", re.IGNORECASE)
