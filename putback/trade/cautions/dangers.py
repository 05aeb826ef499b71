"""The usual cautions, called up by what a person types. They tell of the risk and give no instructions.

Each is said once in a session; local rules and licensed practice come before all of them. Titles of rules are
for orientation, from memory unless noted: other places have their own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct

FIRST = "Local rules and licensed practice first."
"""What every caution ends with."""


SEND_OUT = "this belongs to licensed people: send it out"
"""What is said of their work, beside the caution."""


class Danger(Struct, frozen=True):
    """One cause of harm."""

    cause: str
    """Its name."""
    sign: re.Pattern[str]
    """The words that call it up."""
    words: str
    """What to beware of, and what is usually done."""
    rules: str
    """Where the rules are."""
    licensed: bool = False
    """Whether what it is about belongs to licensed people: then the work can be sent out."""

    @property
    def text(self) -> str:
        """The caution as it is said."""
        return f"{self.words}. {FIRST}"

    @property
    def told(self) -> str:
        """The caution with its rules, as it stands on lists and sheets; of licensed work that it can be sent out."""
        said = self.licensed and "send it out" not in self.words
        return f"{self.words}; rules: {self.rules}{f'; {SEND_OUT}' if said else ''}"


def _sign(words: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{words})", re.IGNORECASE)


SPRING = Danger(
    "spring",
    _sign(
        r"main ?springs?\b|springs? barrel|(?:clock|power|torsion|loaded|stretched|wound|tensioned) springs?\b"
        r"|springs? (?:is |are )?(?:still )?(?:wound|loaded|under tension|stretched)"
    ),
    "loaded spring: eyes covered, stand aside, let it down by counted turns; leave a barrel closed",
    "common practice, no source",
)
"""Also called up by letting down."""

LIFTING = Danger("lifting", _sign(r"(?!)"), "", "NIOSH 94-110; UK: Manual Handling Operations Regulations 1992")
"""Called up by turning a machine whose mass is known; the words are `lifting_caution`."""

SOLVENT = Danger(
    "solvent",
    _sign(
        r"(?<!no )solvents?\b|penetrants?\b|penetrating oil|white spirit|mineral spirits?|naphtha|acetone"
        r"|paraffin\b(?! wax)|kerosene|diesel\b|petrol\b|gasoline|degreas|thinners?\b|turpentine"
    ),
    "solvent: window open, no flame, gloves; oily rags in a closed tin",
    "US 40 CFR 751; UK COSHH 2002; the maker's safety sheet",
)

MOTOR = "motor"
"""A motor is on the mains, unless the machine is a clockwork."""

_MAINS = "mains: plug out and in sight; old cloth or rubber cord is not used again; licensed rewiring: send it out"
WIRING = "local wiring code; US 29 CFR 1910.147 (stored energy)"
"""Where the rules on the mains are."""

CLOCKWORK = _sign(r"clock|main ?springs?\b|spring barrel|(?:winding|crank) (?:key|handle|arbor|square)|wind the")
"""Words that tell of a motor which is wound."""

DANGERS = (
    SPRING,
    Danger(
        "mains",
        _sign(
            r"mains\b|(?:power|line|cloth|rubber|lamp) cords?\b|electric motors?\b|lamps?\b|lamp ?holder"
            r"|light ?bulbs?\b|transformers?\b|rectifiers?\b"
        ),
        _MAINS,
        WIRING,
        licensed=True,
    ),
    Danger(MOTOR, _sign(r"motors?\b"), _MAINS, WIRING, licensed=True),
    Danger(
        "capacitor",
        _sign(r"capacitors?\b|condensers?\b(?! lens)|ballasts?\b"),
        "capacitor: discharged by someone trained; an old one may hold PCBs: keep it closed, gloves, bag a leak",
        "US 40 CFR 761; US 29 CFR 1910.147",
        licensed=True,
    ),
    Danger(
        "mercury",
        _sign(r"mercury|quicksilver|tilt switch|silver(?:y)? (?:liquid|blob|bead)"),
        "mercury: do not break it, no vacuum cleaner; keep it whole in a closed jar",
        "US 40 CFR 273; local waste office",
    ),
    Danger(
        "asbestos",
        _sign(
            r"asbestos|fib(?:rous|re|er) (?:pad|rope|board|lining)|(?:grey|gray|white|heat) pads?\b|rope seal"
            r"|(?:brake|clutch) (?:linings?|shoes?|bands?)\b|lagging\b|millboard"
        ),
        "this may be asbestos: do not disturb it, no brushing or blowing; a licensed survey tells",
        "US 29 CFR 1910.1001; UK Control of Asbestos Regulations 2012",
        licensed=True,
    ),
    Danger(
        "lead",
        _sign(
            r"(?:old|flaking|loose|lead) paint|paint(?:work)? (?:off|strip)|red lead\b|white lead\b"
            r"|lead (?:seal|weight|type)|(?:hold|holds|contain|contains|be) lead\b"
            r"|(?:soft|old|de)?solder|type ?metal|white ?metal|babbitt|white bearing"
        ),
        "lead: no dry sanding, no heat gun; wash before you eat",
        "US 29 CFR 1910.1025",
    ),
    Danger(
        "cadmium",
        _sign(r"cadmium|cad(?:mium)?[- ]plat|(?:gold(?:en)?|yellow),? iridescent|iridescent plating"),
        "cadmium: no sanding, heating or acid; gloves",
        "US 29 CFR 1910.1027",
    ),
    Danger(
        "radium",
        _sign(r"radium|luminous|lume\b|(?:glow|glows|glowed|glowing) (?:in|dial|hands?|paint)|glows?\b(?=.*\bdial)"),
        "radium paint may be in it: do not scrape or open it, bag it, wash your hands",
        "US 10 CFR 31.12; local radiation authority",
    ),
    SOLVENT,
    Danger(
        "stripper",
        _sign(r"(?:paint|varnish|lacquer)[- ](?:stripp|remov)er|dichlorometh|methylene chloride"),
        "paint stripper: some are barred: read what is in it; window open, no flame, gloves, goggles",
        "US 40 CFR 751 B; UK COSHH 2002; the maker's safety sheet",
    ),
    Danger(
        "acid",
        _sign(
            r"derust|rust remover|(?<!no )acids?\b(?!-free)|phosphoric|oxalic|alkali|electrolysis"
            r"|electrolytic"
        ),
        "derusting bath: goggles, acid into water, never two baths mixed; hardened or plated parts may turn brittle",
        "the maker's safety sheet",
    ),
    Danger(
        "celluloid",
        _sign(r"celluloid|nitrate film|cellulose nitrate|nitrocellulose|old plastic window"),
        "celluloid burns fiercely and sweats acid: no heat, no solvent; store it apart",
        "local fire code",
    ),
    Danger(
        "capsule",
        _sign(
            r"(?:sealed|aneroid|pressure|vacuum) capsules?\b|capsule stack|sealed glass|spirit levels?\b|bubble level"
        ),
        "sealed capsule or gas: do not open or heat it",
        "common practice, no source",
    ),
    Danger(
        "cast iron",
        _sign(r"cast[- ]iron"),
        "cast iron breaks when it is dropped, pried, or bolted down on a gap",
        "common practice, no source",
    ),
    Danger(
        "compressed air",
        _sign(r"compressed air|air (?:gun|line|hose)|blow(?:n|ing)? (?:it |them |the \w+ )?(?:out|off|dry|through)\b"),
        "compressed air blows chips, dust and small springs: eyes covered, low pressure, into a clear bag",
        "US 29 CFR 1910.242(b)",
    ),
    Danger(
        "heat",
        _sign(
            r"blow ?(?:torch|lamp)|gas torch|with (?:a |the )?torch|hot[- ]air\b|heat ?guns?\b|soldering irons?\b"
            r"|braz(?:e|ed|ing)\b|weld(?:ed|ing)?\b|silver[- ]solder|anneal|temper(?:ed|ing)\b|naked flame"
            r"|heat(?:ed|ing)? (?:it|them|the|to|up|and)\b|with heat\b|(?<!no )heat\Z|heated\b"
        ),
        "heat: no oil, solvent, old paint, celluloid or sealed part near; goggles; extinguisher; metal stays hot",
        "US 29 CFR 1910.252; local fire code",
    ),
    Danger(
        "flying metal",
        _sign(
            r"grind(?:s|er|ers|ing)?\b|ground (?:off|down|flat)\b|wire[- ](?:wheel|brush)"
            r"|(?:sand|bead|grit|shot|vapou?r)[- ]?blast|drilling\b|re-?drill|drill (?:it|them|the|a)\b|chisel"
            r"|(?:drill|saw|mill|file|cut|sand)(?:ed|n|ing)? (?:\w+ )?(?:out|off|down|away)\b|hack ?saw"
            r"|(?<!no )(?<!no dry )sanding\b|buff(?:ed|ing)\b|polishing (?:wheel|mop)|split the nut"
            r"|in the lathe\b|impact driver"
        ),
        "dust and flying metal: goggles, clamp the part, no gloves or sleeves near the wheel; know what the coating is",
        "US 29 CFR 1910.133 and 1910.215",
    ),
    Danger(
        "stored motion",
        _sign(
            r"fly ?wheels?\b|counter-?weights?\b|(?:falling|heavy) carriage|carriage (?:falls|drops|runs)"
            r"|(?:drop|driving) weights?\b|runs on\b(?! (?:the|a|two|its|mains))|(?:may|will) fall\b"
        ),
        "stored motion: block it before the last thing that holds it is undone; hands clear, let it down slowly",
        "common practice, no source",
    ),
    Danger(
        "battery",
        _sign(r"batter(?:y|ies)\b|accumulators?\b|dry cells?\b|lead-acid"),
        "battery: short circuits burn, acid or lye leaks: goggles, gloves; charge it in air; take it to collection",
        "US 40 CFR 273; the maker's sheet",
    ),
    Danger(
        "pressure",
        _sign(
            r"refrigerants?\b|gas (?:spring|strut|bottle|cylinder)s?\b|(?:gas|air|steam|oil|is|still) under pressure"
            r"|pressure (?:vessel|tank|pot|cylinder)s?\b|steam (?:pressure|line)|boilers?\b|hydraulic (?:ram|line)"
        ),
        "pressure: never open or vent it; a certified person empties it: send it out",
        "US 40 CFR 82 subpart F; local pressure rules",
        licensed=True,
    ),
    Danger(
        "high voltage",
        _sign(
            r"vacuum tubes?\b|(?:radio|output|rectifier|power|amplifier|thermionic) (?:valve|tube)s?\b"
            r"|valve (?:socket|base|holder|radio|amplifier|set)s?\b|(?:picture|cathode[- ]ray) tubes?\b"
            r"|high[- ](?:voltage|tension)\b|e\.?h\.?t\b|h\.?t\.? (?:line|supply|lead|wire)"
        ),
        "valves: high voltage stays in capacitors, glass implodes: goggles; discharged by the trained: send it out",
        "local wiring code; common practice",
        licensed=True,
    ),
    Danger(
        "strong bath",
        _sign(
            r"hydrofluoric|hydrochloric|muriatic|sul(?:ph|f)uric|nitric|chromic|chromate|cyanide|caustic|lye\b"
            r"|strong (?:acid|alkali)|re-?plat(?:e|ed|ing)\b|plat(?:e|ing) (?:it|them|the dial|bath)\b|plating bath"
            r"|(?:chrome|nickel|zinc|tin|copper|silver|gold|brass)[- ]plate\b|re-?chrom"
            r"|blue?ing (?:salts|bath)|pickl(?:e|ing)\b"
        ),
        "strong bath: not for a kitchen table: a closed shop with extraction, or send it out",
        "the maker's safety sheet; local chemical rules",
        licensed=True,
    ),
    Danger(
        "paint",
        _sign(
            r"re-?paint(?:ed|ing)?\b|paint(?:ing)? (?:it|them|the)\b|spray(?:ed|ing)? (?:it|them|the|paint)\b|spray can"
            r"|(?:re-?)?lacquer(?:ing)? (?:it|them|the)\b|re-?varnish|primer\b"
        ),
        "paint: window open, mask, no flame; what is under it may hold lead: no dry sanding, no heat gun",
        "the maker's safety sheet; US 29 CFR 1910.1025",
    ),
    Danger(
        "cleaner",
        _sign(
            r"(?<!not )(?<!no )clean(?:ing)? (?:it|them|the|out|off|up|with|in)\b(?!.*\bwater\b)|cleaning fluid"
            r"|cleaners?\b|ultrasonic|wash(?:ed|ing)? (?:it|them|out) (?:in|with)\b"
        ),
        "cleaner: try it where it does not show; gloves, window open; never two of them mixed",
        "the maker's safety sheet",
    ),
)
"""Every danger that words call up, in the order in which they are told."""


class CalledCaution(Struct, frozen=True):
    """A caution that a command calls for."""

    cause: str
    """The danger's name; said once in a session."""
    text: str
    """What is said."""
    rules: str = ""
    """Where the rules are."""


def dangers_in(words: Iterable[str]) -> list[Danger]:
    """Return the dangers that any of some texts call up, in order."""
    return list(_dangers_in(tuple(text for text in words if text)))


@lru_cache(maxsize=1024)
def _dangers_in(texts: tuple[str, ...]) -> tuple[Danger, ...]:
    """A step's words are asked about again and again while it is told."""
    return tuple(danger for danger in DANGERS if any(danger.sign.search(text) for text in texts))


def cautions_told(words: Iterable[str]) -> tuple[str, ...]:
    """Return the usual cautions that some texts call up as lists and sheets have them; last whose rules come first."""
    found = tuple(danger.told for danger in dangers_in(words))
    return (*found, FIRST) if found else ()


def is_licensed(words: str) -> bool:
    """Tell whether work belongs to licensed people, by what is said of it."""
    return any(danger.licensed for danger in dangers_in([words]))
