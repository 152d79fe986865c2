"""Words that go against the published ways of putting fruit up, and what is published instead.

A household may write what it likes; what can make people ill is named wherever it stands. The table below is all
there is: each rule has the words it goes by, in English and Spanish, what is published instead, and where. Words are
looked for without capitals and accents, within one sentence. A rule that forbids what it names ("never turn jars over
to seal them") is no breach, and a rule about something left out ("no headspace needed") is read as it stands.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from typing import Final

from msgspec import Struct

from firmripe.tongue import mark

_JARS = r"(?:jars?|pints?|quarts?|half[- ]?pints?|bottles|frascos?|tarros?|botes?|conservas)"
_FOOD = r"(?:tomato(?:es)?|figs?|pears?|pickles?|jitomates?|tomates?|higos?|peras?)"
_CANNED = r"(?:jars?|pints?|quarts?|canning|canned|canner|frascos?|tarros?|conservas?|envas\w+)"
_SPREAD = r"(?:jars?|jams?|jelly|jellies|preserves|lids?|frascos?|mermeladas?|jaleas?|conservas?|tapas?)"
_COUNT = (
    r"(?:\d{1,3}(?:\s?(?:-|–|to|or|a|o)\s?\d{1,3})?"
    r"|five|ten|fifteen|twenty|thirty|forty(?:[- ]five)?|sixty|ninety|a few|some"
    r"|cinco|diez|quince|veinte|treinta|cuarenta|sesenta|noventa|unos|pocos)"
)
_TIME = (
    rf"(?:{_COUNT}[\s-]?(?:more\s)?(?:minutes?|mins?|minutos?|hours?|hrs?|horas?)\b"
    r"|(?:half an|an|one|two|three) hours?\b|a quarter of an hour|media hora|una hora|(?:dos|tres) horas"
    r"|un cuarto de hora)"
)
_BOIL = r"(?:boil|simmer|steam|cook|heat|scald|hierv|herv|hirv|cocer|cocin|cuec)\w*"
_PROCESS = r"(?:process\w*|bwb|water[- ]?bath\w*|pressure[- ]can\w*|proces[ae]\w*|bano\s(?:de\s)?maria)"
_POT = (
    r"(?:canner|water[- ]?bath|boiling water|pressure (?:canner|cooker)|olla de presion|bano\s(?:de\s)?maria"
    r"|agua hirviendo)"
)
_COOKER = (
    r"(?:insta(?:nt)?[- ]?pots?|multi[- ]?cookers?|electric (?:pressure )?cookers?|slow[- ]?cookers?|crock[- ]?pots?"
    r"|rice cookers?|air[- ]?fryers?|sous[- ]?vide|ollas? (?:electricas?|de coccion lenta|arroceras?|programables?)"
    r"|multicocinas?)"
)
_GAP = r"[^.;!?]{0,40}?"
_NEAR = r"[^.,;:!?]{0,30}?"
_NO = (
    r"(?:without|skip\w*|no|not|never|needs? no|forget|omit\w*|leave out|leaving out|ignor\w*"
    r"|don'?t (?:need|bother with|add|leave)|sin|nunca|olvid\w*)"
)


class Rule(Struct, frozen=True):
    """One kind of unsafe words: its name, the patterns it goes by, and what is published instead, with the source.

    `stems` are parts of words, apart by a space, of which one stands in whatever its patterns find: most texts have
    none, and patterns take long to compile and to look for.
    `lacks` says that its words are about something left out, so that a "no" among them is part of the breach.
    `spared` is a pattern that makes the sentence harmless.
    """

    name: str
    stems: str
    patterns: tuple[str, ...]
    published: str
    source: str
    page: str = ""
    lacks: bool = False
    spared: str = ""


GUIDE_1, GUIDE_2, GUIDE_3 = "usda-aib539-guide1", "usda-aib539-guide2", "usda-aib539-guide3"
_KEPT_COLD = r"freez|frozen|refrigerat|fridge|congel|refri|nevera"
_KEPT_DRY = r"\bdr(?:y|ied|ies|ying)\b|\bseeds?\b|\bflour\b|\bsec[oa]s?\b|\bsemillas?\b"

RULES: Final = (
    Rule(
        "canning minutes",
        "min hour hr hora",
        (
            rf"\b{_PROCESS}\b{_GAP}{_TIME}",
            rf"{_TIME}{_NEAR}\b{_POT}",
            rf"\b{_POT}{_NEAR}{_TIME}",
            rf"\b{_BOIL}\s+{_TIME}\s+(?:\w+\s+){{0,3}}?{_JARS}\b",
            rf"\b{_BOIL}\s+(?:\w+\s+){{0,3}}?{_JARS}\b(?!\s(?:of|de)\b){_GAP}{_TIME}",
            rf"\b{_JARS}\b(?!\s(?:of|de)\b){_NEAR}\b{_BOIL}\s{_NEAR}{_TIME}",
            (
                rf"\b(?:jars|pints|quarts|frascos|tarros)\s?(?:[:=,]|need|get|for|at|por"
                rf"|necesitan|llevan)?\s?(?:about\s|unos\s)?{_TIME}"
                r"(?!\s(?:to|of|each|apart|later|before|after|para|de)\b)"
            ),
            rf"\b{_JARS}\b[^.;!?]{{0,25}}:\s?{_BOIL}\s{_NEAR}{_TIME}",
            rf"{_TIME}{_NEAR}\b(?:rolling|full) boil\b{_GAP}{_JARS}",
            rf"\b(?:hot|raw)[- ]?pack\w*{_NEAR}{_TIME}",
            rf"{_TIME}'?\s(?:boil|bath)\b{_GAP}\b{_JARS}\b",
            rf"\b{_JARS}\b{_GAP}{_TIME}'?\s(?:boil|bath)\b",
            rf"{_TIME}\s(?:is|are)\s(?:enough|plenty|right)\b{_GAP}\b{_JARS}\b",
            rf"\b(?:bastan?|son suficientes)\s{_TIME}{_GAP}\b{_JARS}\b",
            (
                rf"\b(?:lids?|rings?|tapas?)\b[^.;!?]{{0,40}}[.;!?,]\s+(?:then\s|and\s"
                rf"|y\s|luego\s)?{_BOIL}\s{_NEAR}{_TIME}"
            ),
            rf"\bcan(?:ned)?\s(?:them|it|the\s\w+)\s(?:for|at)\s{_TIME}",
        ),
        mark(
            "Minutes in the canner are looked up in the published table, by product, pack, jar and height, and for "
            "nothing else."
        ),
        GUIDE_1,
        spared=(
            r"\bempty|\bvaci[oa]s?|\bto (?:peel|cut|core|pit|label|fill|wash)\b|\bsterili[sz]e "
            r"(?:the )?jars|\bone load"
        ),
    ),
    Rule(
        "oven canning",
        "oven horno",
        (
            r"\boven[- ]?cann?(?:ing|ed|s)\b",
            (
                rf"\b(?:put|set|place|stand|heat|process|seal|can|bake|sterili[sz]e|warm)\w*\s+"
                rf"(?:\w+\s+){{0,3}}?{_JARS}{_NEAR}"
                r"\bin(?:to)?\s(?:the\s|a\s|your\s|our\s)?(?:\w+\s)?oven\b"
            ),
            r"\b(?:can|canning|canned|seal|sealed|process|processed)\s(?:\w+\s){0,3}?in\s(?:the\s|a\s|our\s)oven\b",
            rf"{_JARS}{_NEAR}\b(?:al|en el) horno\b",
            rf"\b(?:al|en el) horno\b{_NEAR}{_JARS}",
        ),
        mark("Jars are never processed in an oven: only in boiling water, pure steam or a pressure canner."),
        GUIDE_1,
    ),
    Rule(
        "open-kettle canning",
        "kettle seal sell bano boil canner hervir olla proces water never need",
        (
            r"\bopen[- ]?kettle\b",
            r"\bolla abierta\b",
            (
                r"\b(?:jars?|lids?|they|it)\s(?:will\s)?(?:self[- ]?seals?|seals?\s(?:by "
                r"(?:itself|themselves)|on (?:its|their) own|as (?:it|they) cool))"
            ),
            r"\bse sellan?\s(?:\w+\s)?sol[oa]s?\b",
            (
                r"\b(?:sealed?|close|cap|screw)\w*\b[^.;!?]{0,30}\b(?:no|without)\s(?:further\s"
                r"|more\s|any\s)?(?:processing|canner|water[- ]?bath|boiling)"
            ),
            rf"\b(?:sin|no hace falta|no hay que)\s(?:hervir|procesar|bano)\b{_GAP}{_JARS}",
            rf"{_JARS}{_GAP}\b(?:sin|no hace falta|no hay que)\s(?:hervir|procesar|bano)",
            rf"{_JARS}{_GAP}\b(?:need|needs|needed|require)\s?no\s(?:processing|canner|water[- ]?bath|boiling)",
            r"\b(?:no need to|don'?t need to|never) (?:process|boil|can)\b[^.;!?]{0,20}\bjars",
        ),
        mark("Hot food in a closed jar is not canned: every filled jar is processed for its printed minutes."),
        GUIDE_1,
        spared=_KEPT_COLD,
    ),
    Rule(
        "a cooker that is no canner",
        "arrocera coccion electr programable cooker crock fryer insta multi pressure sous",
        (
            rf"\b{_COOKER}{_GAP}\b(?:canning|canners?|canned|to can|seal\w*|process\w*|envas\w+|sell\w+|{_JARS})\b",
            rf"\b(?:can|canning|canned|seal\w*|process\w*|envas\w+|sell\w+|{_JARS})\b{_GAP}\b{_COOKER}",
            rf"\bpressure (?:cooker|saucepan)s?{_GAP}\b(?:canning|{_JARS})\b",
        ),
        mark(
            "Printed minutes hold for a boiling-water canner, an atmospheric steam canner, or a pressure canner that "
            "takes at least four quart jars."
        ),
        GUIDE_1,
        spared=_KEPT_COLD + r"|\bi can\b|\byou can\b|\bwe can\b|\bcan be\b",
    ),
    Rule(
        "done by its sound",
        "plop ping pop clic glug chasq tapa frasco",
        (
            r"\buntil\s(?:it|they|the (?:lids?|jars?|jam))\s(?:\w+\s)?(?:plops?|pops?|pings?|clicks?)\b",
            r"\b(?:pings?|pops?|plops?|clicks?)\b[^.;!?]{0,25}\b(?:sealed|safe|done|good|fine)\b",
            r"\bhasta que\s(?:\w+\s){0,3}?(?:haga|hagan|hace|suene|suenen)\s(?:\w+\s)?(?:plop|pop|clic|click|ping)",
            r"\bhasta que (?:truene|truenen|suene|suenen)\s(?:la|las|el|los)\s(?:tapas?|frascos?)",
        ),
        mark(
            "A sound says nothing of safety: the printed minutes count from a full boil, and each lid is tested after "
            "12 to 24 hours."
        ),
        GUIDE_1,
    ),
    Rule(
        "paraffin or wax",
        "cera paraf wax",
        (
            rf"\bparaf+in\w*\b(?!\s(?:oil|heater|lamp|stove)){_GAP}\b{_SPREAD}\b",
            rf"\b{_SPREAD}\b{_GAP}(?<!aceite de )(?<!aceite )\bparaf+in\w*\b(?!\s(?:oil|heater|lamp|stove))",
            rf"\b(?:bees?)?wax\b(?!\s?paper){_GAP}\b{_SPREAD}\b",
            rf"\b{_SPREAD}\b{_GAP}\b(?:bees?)?wax\b(?!\s?paper)",
            rf"\bcera\b{_NEAR}\b(?:mermeladas?|jaleas?|frascos?|tapas?|conservas?)\b",
            rf"\b(?:mermeladas?|jaleas?|frascos?|tapas?|conservas?)\b{_NEAR}\bcera\b",
        ),
        mark("Wax seals nothing for long: jam and jelly are closed with new lids and processed."),
        GUIDE_1,
        spared=r"\bgraft|\bprun|\bcandle|\bwound|\bscion|\binjert|\bpoda|\bvelas?\b",
    ),
    Rule(
        "lids used again",
        "lid tapa",
        (
            r"\bre-?us\w*\b[^.,;!?]{0,25}\b(?:flat )?lids?\b",
            r"\blids?\b[^.,;!?]{0,25}\b(?:re-?used?|re-?using|a second time|twice|from last year)\b",
            r"\b(?:old|used) (?:flat )?lids\b",
            r"\b(?:reutiliz|reus|volver a usar)\w*\b[^.,;!?]{0,25}\btapas?\b",
            r"\btapas?\s(?:usadas|viejas|del ano pasado|de segunda)",
            r"\bmismas tapas\b",
            r"\btapas?\b[^.,;!?]{0,25}\b(?:reutiliz|reus)\w*",
        ),
        mark("Each jar takes a new flat lid at each run; only rings and jars are used again."),
        GUIDE_1,
    ),
    Rule(
        "dishwasher, microwave or sun",
        "sol sun dishwasher lavaplatos lavavajillas microondas microwave",
        (
            r"\b(?:dishwasher|microwave|sun|solar)[- ]?cann(?:ing|ed)\b",
            (
                r"\b(?:canning|seal\w*|process\w*|can)\s(?:\w+\s){0,4}?in\s(?:the\s|a\s"
                r"|our\s)?(?:dishwasher|microwave|sun)\b"
            ),
            r"\b(?:dishwasher|microwave)\b[^.;!?]{0,40}\b(?:canning|seals?|sealed|full jars|filled jars)\b",
            r"\b(?:full|filled|sealed|closed)\sjars\b[^.;!?]{0,30}\b(?:dishwasher|microwave|in the sun)\b",
            (
                r"\b(?:envas|sell|conserv|proces|esteriliz)\w*\b[^.;!?]{0,40}\b(?:lavavajillas"
                r"|lavaplatos|microondas|al sol)\b"
            ),
            r"\b(?:lavavajillas|lavaplatos|microondas)\b[^.;!?]{0,40}\b(?:frascos llenos|sell\w+|envas\w+)",
            r"\bfrascos?\b[^.;!?]{0,30}\b(?:al sol|(?:en el|al) (?:microondas|lavavajillas|lavaplatos))\b",
        ),
        mark(
            "Neither a dishwasher, a microwave nor the sun cans anything: only boiling water, steam or pressure does."
        ),
        GUIDE_1,
        spared=r"\bvaci[oa]s?\b|\blav(?:ar|e|en) los frascos|\bwash|\bempty|\bbe (?:put|washed)",
    ),
    Rule(
        "jars turned over",
        "abajo invert invier upside volte vuelta over head lid",
        (
            rf"\b{_JARS}\b{_GAP}\b(?:upside[- ]?down|on (?:their|its) (?:heads?|lids?))\b",
            rf"\b(?:upside[- ]?down)\b{_NEAR}\b(?:{_JARS}|lids?|seals?)\b",
            r"\b(?:dar|da|dan|den|dando)(?:les?)?\s(?:la\s)?vuelta a los (?:frascos|tarros)\b",
            r"\b(?:jams?|jelly|lids?)\b[^.;!?]{0,25}\binvert\b(?! sugar)",
            r"\b(?:turn|flip|tip|roll)\s(?:the\s|all\s)?(?:\w+\s)?(?:jars|pints|quarts|bottles)\sover\b",
            r"\b(?:invert|inverted|inverting)\s(?:the\s)?(?:\w+\s)?(?:jars|pints|quarts)\b",
            rf"\b{_JARS}\b{_GAP}\bboca\s?abajo\b",
            r"\b(?:volte|invert|invier)\w*\s(?:los\s)?(?:frascos|tarros|botes)\b",
            rf"\bboca\s?abajo\b{_NEAR}\b{_JARS}\b",
        ),
        mark("Jars come out and stand upright and alone for 12 to 24 hours; then each lid is tested."),
        GUIDE_1,
        spared=r"\bempty|\bdrain|\bto dry|\bvaci[oa]s|\bescurr|\bsecar",
    ),
    Rule(
        "aspirin or canning powder",
        "powder aspirin polvo salicil salicyl",
        (
            rf"\b(?:aspirin|salicyl|salicil)\w*\b{_GAP}\b(?:{_CANNED}|{_FOOD}|preserve\w*|mermelada)\b",
            rf"\b(?:{_CANNED}|{_FOOD}|preserve\w*|mermelada)\b{_GAP}\b(?:aspirin|salicyl|salicil)\w*\b",
            r"\b(?:canning|preserving) powders?\b",
            r"\bpolvos? (?:para|de) (?:conservas?|envasar)\b",
        ),
        mark("Neither aspirin nor a canning powder makes up for acid or for the printed minutes."),
        GUIDE_1,
        spared=r"\bheadache|\bstings?\b|\bpicadura|\bdolor",
    ),
    Rule(
        "zinc caps and wire bails",
        "zinc bail clamp wire frasco alambre",
        (
            r"\bzinc (?:caps?|lids?)\b",
            rf"\b(?:wire[- ]?bails?|bail[- ]?tops?|clamp[- ]?tops?)\b{_GAP}\b(?:{_JARS}|cann\w+|seal\w*|process\w*)\b",
            rf"\b(?:{_JARS}|cann\w+)\b{_GAP}\b(?:wire[- ]?bails?|bail[- ]?tops?|clamp[- ]?tops?)\b",
            r"\btapas? de zinc\b",
            r"\bfrascos? (?:con|de) (?:cierre de )?alambre\b",
        ),
        mark("Jars are closed with a new flat lid and a ring; zinc caps and wire bails are not for canning."),
        GUIDE_1,
        spared=_KEPT_DRY,
    ),
    Rule(
        "canning without the acid",
        "acid citric lemon limon vinagre vinegar",
        (
            (
                rf"\b{_CANNED}\b[^.;!?]{{0,40}}\b{_NO}\s(?:\w+\s){{0,3}}?(?:acid(?! enough)"
                rf"|lemon|citric|vinegar|limon|acido|vinagre)\b"
            ),
            (
                rf"\b{_NO}\s(?:\w+\s){{0,3}}?(?:acid(?! enough)|lemon|citric|vinegar|limon"
                rf"|acido|vinagre)\b{_GAP}\b{_CANNED}\b"
            ),
            rf"\bcan\s(?:the|your|our|them|these)\b{_GAP}\b{_NO}\s(?:\w+\s){{0,2}}?(?:acid|lemon|citric|vinegar)\b",
            (
                r"\b(?:skip|omit|leave out|no need (?:for|of))\s(?:\w+\s){0,2}?(?:acid|lemon juice|citric acid)\b"
                r"[^.;!?]{0,40}\b(?:tomato(?:es)?|figs?|asian pears?)\b"
            ),
            rf"\b{_FOOD}\b{_GAP}\b(?:needs?|need|take|want) no\s(?:\w+\s){{0,2}}?(?:acid|lemon|citric|vinegar)\b",
            rf"\b{_FOOD}\b{_GAP}\b(?:no (?:necesitan?|llevan?)|sin)\s(?:\w+\s){{0,2}}?(?:limon|acido|vinagre)\b",
            r"\b(?:half|less) (?:of )?the (?:\w+\s)?(?:acid|lemon juice|vinegar)\b",
            r"\bla mitad del (?:jugo de )?(?:limon|vinagre|acido)\b",
            r"\bfresh lemons?\b[^.;!?]{0,30}\b(?:instead of|in place of|as good as|works as)\b[^.;!?]{0,20}\bbottled\b",
        ),
        mark(
            "Figs, tomatoes and Asian pears take the printed dose of bottled lemon juice or citric acid in every jar, "
            "and no recipe takes less acid than is printed."
        ),
        GUIDE_2,
        lacks=True,
        spared=_KEPT_COLD + r"|\bnever can\b|\bdon'?t can\b|\bunsafe\b|\bnunca envas|\bwith or without\b",
    ),
    Rule(
        "a shortened time",
        "altitude altura boil canner canning elevation half count minut mitad time tiempo proces",
        (
            (
                r"\bhalf (?:of )?the (?:printed |processing |canning |stated |boiling "
                r"|usual |table'?s )+(?:times?|minutes)\b"
            ),
            r"\bhalf the (?:time|minutes)\b[^.;!?]{0,20}\b(?:is (?:enough|plenty)|will do|does it|suffices)\b",
            r"\b(?:process|can|boil)\w*\b[^.;!?]{0,30}\bhalf (?:of )?the (?:time|minutes)\b",
            (
                r"\b(?:shorten|cut|reduce|halve|ignore|skip)\w*\s(?:the\s)?(?:\w+\s)?"
                r"(?:processing|canning|boiling|canner|printed)\s(?:time|minutes)\b"
            ),
            r"\b(?:la )?mitad (?:del tiempo|de los minutos)\b",
            r"\b(?:acort|reduc|recort)\w*\s(?:el|los)\s(?:tiempo|minutos)\b",
            (
                r"\b(?:ignore|forget|no need|never mind|don'?t (?:bother|add))\b[^.;!?]{0,30}\b"
                r"(?:altitude|elevation)\b[^.;!?]{0,40}\b(?:time|minutes|canning|canner"
                r"|jars)\b"
            ),
            r"\bboil stops?\b[^.;!?]{0,40}\b(?:carry on|keep counting|go on counting|no matter|doesn'?t matter)\b",
            r"\bcount\w*\b[^.;!?]{0,20}\bfrom (?:when|the moment)\b[^.;!?]{0,25}\b(?:jars|they)\s(?:go|are put) in\b",
        ),
        mark(
            "The whole of the printed minutes counts from a full boil, at the kitchen's own height, and begins again "
            "if the boil stops; a part load takes as long."
        ),
        GUIDE_1,
        lacks=True,
    ),
    Rule(
        "no headspace",
        "espacio space top rim hasta",
        (
            r"\b(?:no|without|skip|ignore|forget|don'?t (?:need|bother|leave))\b[^.;!?]{0,25}\bhead[- ]?space\b",
            r"\bhead[- ]?space\b[^.;!?]{0,25}\b(?:not needed|doesn'?t matter|unnecessary|no need)\b",
            (
                rf"\bfill\w*\s(?:\w+\s){{0,3}}?{_JARS}\s(?:right\s|clear\s|all the way\s)?"
                rf"(?:up\s)?to the (?:brim|top|rim)\b"
            ),
            rf"\bllen\w*\shasta\s(?:el borde|arriba|el tope)\s{_NEAR}\b{_JARS}\b",
            rf"\bllen\w*\s(?:\w+\s){{0,2}}?{_JARS}\shasta\s(?:el borde|arriba|el tope|el ras)\b",
            r"\bsin (?:dejar )?espacio\b[^.;!?]{0,25}\b(?:frascos?|tapas?|arriba)\b",
        ),
        mark("Each jar keeps the printed headspace, for the food swells and the lid needs a vacuum."),
        GUIDE_1,
        lacks=True,
    ),
    Rule(
        "no venting",
        "purgar aire vent",
        (
            (
                r"\b(?:no|without|skip|forget|don'?t (?:need|bother))\b[^.;!?]{0,25}\bvent"
                r"(?:ing|s|ed)?\b[^.;!?]{0,40}\b(?:canner|pressure|steam|weight|pot|gauge)\b"
            ),
            (
                r"\b(?:canner|pressure|weight|pot|gauge)\b[^.;!?]{0,40}\b(?:no|without"
                r"|skip|forget|don'?t (?:need|bother))\b[^.;!?]{0,20}\bvent(?:ing|s|ed)?\b"
            ),
            r"\bsin (?:purgar|ventear|ventilar|sacar el aire)\b",
        ),
        mark("A pressure canner is vented 10 minutes before the weight goes on or the vent is closed."),
        GUIDE_1,
        lacks=True,
        spared=r"\bcellar|\broom\b|\bdryer|\bgreenhouse|\bbodega",
    ),
    Rule(
        "jars without a rack",
        "rack rejilla stack",
        (
            rf"\b(?:{_JARS}|canner|cooker|pot)\b{_GAP}\b(?:without|no|skip)\s(?:a\s|the\s|any\s)?rack\b",
            rf"\b(?:without|no|skip)\s(?:a\s|the\s|any\s)?rack\b{_GAP}\b(?:{_JARS}|canner|cooker)\b",
            rf"\bstack\w*\s(?:\w+\s){{0,2}}?{_JARS}{_GAP}\b(?:canner|cooker|pot)\b",
            rf"\b(?:{_JARS}|olla)\b{_GAP}\bsin rejilla\b|\bsin rejilla\b{_GAP}\b(?:{_JARS}|olla)\b",
        ),
        mark(
            "A load is one layer on the rack, 7 quarts or 8 to 9 pints; only a large pressure canner takes 18 pints in "
            "two layers."
        ),
        GUIDE_1,
        lacks=True,
    ),
    Rule(
        "cooled by force",
        "cool quench dunk plunge enfri tighten water",
        (
            (
                r"\b(?:cool|quench|dunk|plunge)\w*\b[^.;!?]{0,30}\b(?:jars|canner|pressure cooker)\b[^.;!?]{0,30}"
                r"\b(?:cold water|ice|snow|tap)\b"
            ),
            r"\b(?:run|pour)\b[^.;!?]{0,15}\bcold water\b[^.;!?]{0,20}\b(?:canner|cooker|jars)\b",
            r"\b(?:re-?tighten|tighten\w* again)\b[^.;!?]{0,30}\b(?:bands?|rings?|lids?)\b",
            r"\benfri\w*\b[^.;!?]{0,20}\b(?:frascos|olla)\b[^.;!?]{0,25}\b(?:agua fria|hielo|chorro)\b",
        ),
        mark("Jars and canners cool by themselves, and rings are not tightened again after the process."),
        GUIDE_1,
    ),
    Rule(
        "spoilt food",
        "jam jelly jar jalea mermelada preserve frasco taste",
        (
            (
                r"\b(?:scrape|skim|spoon|cut|take|lift)\w*\b[^.;!?]{0,20}\bmou?ld\b[^.;!?]{0,30}\b"
                r"(?:jams?|jelly|jars?|preserves?)\b"
            ),
            (
                r"\b(?:jams?|jelly|jars?|preserves?)\b[^.;!?]{0,40}\b(?:scrape|skim|spoon"
                r"|cut|lift)\w*\b[^.;!?]{0,20}\bmou?ld\b"
            ),
            r"\b(?:quit|rasp|sac)\w*\b[^.;!?]{0,15}\bmoho\b[^.;!?]{0,30}\b(?:mermeladas?|jaleas?|frascos?)\b",
            r"\btaste\b[^.;!?]{0,40}\b(?:bulging|spurt\w*|suspect|unsealed|spoilt|spoiled)\b",
        ),
        mark("A jar with mold or a broken or bulging seal is thrown out whole, and never tasted."),
        GUIDE_1,
    ),
)
"""What is warned of. What is published instead is marked R in the sources named (AIB 539, 2015)."""
_LOOKED_FOR: Final = tuple((rule, tuple(rule.stems.split())) for rule in RULES)

_FORBIDS = (
    r"\b(?:never|don'?t|do not|does not|doesn'?t|no|not|cannot|can'?t|nor|neither|avoid|instead of|rather than|stop"
    r"|refuse|nunca|jamas|ni|evit\w+|en vez de|en lugar de)\b"
    r"(?!\s(?:only|need|worry|problem|matter|hay problema))[^,;:.!?]{0,45}$"
)
_DENIED_AFTER = (
    r"^[^,;:.!?]{0,30}\b(?:unsafe|dangerous|forbidden|(?:not|n'?t) (?:safe|recommended|canning|allowed)"
    r"|peligros\w+|prohibid\w+|no (?:es|son) segur\w+)"
)
_LISTED = (
    r"\b(?:no|never|neither|ni|nunca)\s(?:(?:[\w-]+,?\s){1,9}(?:or|nor|ni|o)|(?:[\w-]+(?:\s[\w-]+)?,\s){1,9}[\w-]+,)\s$"
)
"""A list of what is forbidden: "no open kettle, oven or microwave canning"."""
_TURNS = r"\b(?:but|pero|sino|then|luego|instead|just)\b(?!\sof\b)"
_WITHIN = re.compile(r"(?<!\n)\n(?!\s*(?:\n|[-*#|]))")
_ENDS = re.compile(r"[.;!?]\s|\n\s*\n")


class Unsafe(Struct, frozen=True):
    """Unsafe words in a text: the rule they break, the words as written, and where in the text they begin."""

    rule: Rule
    words: str
    at: int


@lru_cache(maxsize=4096)
def unsafe_in(text: str) -> tuple[Unsafe, ...]:
    """Return what in a text goes against a published way, each rule once for each sentence, in the text's order."""
    plain = _plain(text)
    found: dict[tuple[str, int], Unsafe] = {}
    for rule, stems in _LOOKED_FOR:
        if not any(stem in plain for stem in stems):
            continue
        patterns, spared = _compiled(rule)
        for match in _matches(patterns, plain):
            first, last = _sentence(plain, match.start(), match.end())
            if (rule.name, first) in found or (spared and spared.search(plain[first:last])):
                continue
            if not rule.lacks and _is_forbidden(plain, match, first, last):
                continue
            words = " ".join(text[match.start() : match.end()].split())
            found[rule.name, first] = Unsafe(rule, words, match.start())
    return tuple(sorted(found.values(), key=lambda one: (one.at, one.rule.name)))


@cache
def _compiled(rule: Rule) -> tuple[tuple[re.Pattern[str], ...], re.Pattern[str] | None]:
    """Return the patterns of a rule, which take longer to compile than many a command to run."""
    return tuple(map(re.compile, rule.patterns)), re.compile(rule.spared) if rule.spared else None


def is_unsafe(text: str) -> bool:
    """Say whether a text goes against a published way."""
    return bool(unsafe_in(text))


def _matches(patterns: Iterable[re.Pattern[str]], plain: str) -> Iterator[re.Match[str]]:
    for pattern in patterns:
        yield from pattern.finditer(plain)


def _sentence(plain: str, start: int, end: int) -> tuple[int, int]:
    """Return where the sentence around a match begins and ends."""
    first = 0
    for found in _ENDS.finditer(plain, max(0, start - 400), start):
        first = found.end()
    last = _ENDS.search(plain, end, end + 400)
    return first, last.start() if last else len(plain)


def _is_forbidden(plain: str, match: re.Match[str], first: int, last: int) -> bool:
    """Say whether the words around a match forbid it, as in "never turn jars upside down"."""
    before = re.split(_TURNS, plain[first : match.start()])[-1]
    within = re.split(_TURNS, match[0])[0]
    if (
        re.search(_FORBIDS, before)
        or re.search(_LISTED, before)
        or re.search(r"\b(?:never|not|cannot|can't|nunca|no se)\b", within)
    ):
        return True
    return re.search(_DENIED_AFTER, plain[match.end() : last]) is not None


def _plain(text: str) -> str:
    """Return a text of the same length in small letters, without accents, with plain quotes and spaces.

    Line ends within a paragraph are spaces.
    """
    return _WITHIN.sub(" ", "".join(_plain_letter(letter) for letter in text))


def _plain_letter(letter: str) -> str:
    if letter in "’‘":
        return "'"
    if letter.isspace():
        return letter if letter == "\n" else " "
    base = unicodedata.normalize("NFKD", letter).casefold()
    return base[0] if base else letter
