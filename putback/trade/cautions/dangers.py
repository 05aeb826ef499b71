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

    @property
    def text(self) -> str:
        """The caution as it is said."""
        return f"{self.words}. {FIRST}"


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
        r"|paraffin\b(?! wax)|kerosene|petrol\b|gasoline|degreas|paint stripper|dichlorometh"
        r"|methylene chloride|thinners?\b|turpentine"
    ),
    "solvent: window open, no flame, gloves; oily rags in a closed tin; some strippers are barred",
    "US 40 CFR 751 B; UK COSHH 2002; the maker's safety sheet",
)

MOTOR = "motor"
"""A motor is on the mains, unless the machine is a clockwork."""

_MAINS = "mains: plug out and in sight; old cloth or rubber cord is not used again; rewiring by a licensed person"
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
    ),
    Danger(MOTOR, _sign(r"motors?\b"), _MAINS, WIRING),
    Danger(
        "capacitor",
        _sign(r"capacitors?\b|condensers?\b(?! lens)|ballasts?\b"),
        "capacitor: discharged by someone trained; an old one may hold PCBs: keep it closed, gloves, bag a leak",
        "US 40 CFR 761; US 29 CFR 1910.147",
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
        "acid",
        _sign(
            r"derust|rust remover|(?<!no )acids?\b(?!-free)|phosphoric|oxalic|caustic|lye\b|alkali|electrolysis"
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
            r"(?:sealed|aneroid|pressure|vacuum) capsules?\b|capsule stack|gas (?:spring|strut|bottle|cylinder)s?\b"
            r"|sealed glass|spirit levels?\b|bubble level"
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
