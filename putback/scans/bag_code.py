"""The code on a bag: `PB`, six characters and a check character, as in `PB3K7M2Q4`.

The check is ISO/IEC 7064 MOD 37-2 over the eight characters before it. It catches every single wrong
character and every two swapped ones, near or far: 2 is a primitive root of 37, so no two of the nine
weights are equal.

Printed codes hold no I, L, O or U. The standard's check character may be one of those or `*`; a code
whose check comes out so is never issued, which costs about one draw in seven.
"""

from collections.abc import Container, Iterable
from random import Random

from putback.errors import BadInput, Refused

PREFIX = "PB"
"""What every bag code starts with."""
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""The 32 characters a code is drawn from: digits and capitals without I, L, O and U."""
LENGTH = 9
"""Characters in a code, prefix and check character included."""
SEPARATOR = ":"
"""Follows the code where a summary stands behind it, as on a full label."""
END = "."
"""Ends that summary."""

_VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
"""The standard's character values: each stands at its value, `*` being 36."""
_BODY = 6
_MISREAD = str.maketrans("OIL", "011")
_TRIES = 10_000


def check_character(text: str) -> str:
    """The ISO/IEC 7064 MOD 37-2 check character of `text` (digits and capitals A-Z, no check yet).

    Gives one of `0-9 A-Z *`. Raises ValueError for any other character. The recursive method of the
    standard: product = (sum + value) * 2 (mod 37), and the check makes the last sum congruent to 1.
    """
    total = 0
    for character in text:
        value = _VALUES.find(character)
        if value < 0 or value == 36:
            raise ValueError(f"{character!r} has no value in ISO/IEC 7064 MOD 37-2")
        total = (total + value) * 2 % 37
    return _VALUES[(1 - total) % 37]


def is_code(text: str) -> bool:
    """Whether `text`, exactly as it stands, is a code that could have been issued."""
    return (
        len(text) == LENGTH
        and text.startswith(PREFIX)
        and all(character in ALPHABET for character in text)
        and check_character(text[:-1]) == text[-1]
    )


def normalise(text: str) -> str:
    """`text` as a code would be written: capitals, no blanks or dashes, O as 0, I and L as 1.

    No code has an O, I or L, so reading them as digits can only help. Anything else is kept: the
    result need not be a code.
    """
    squeezed = "".join(text.split()).replace("-", "").upper()
    return squeezed.translate(_MISREAD)


def new_code(rng: Random, taken: Container[str]) -> str:
    """A fresh code that is not in `taken`, drawn from `rng`; the same draws give the same code.

    Raises Refused when ten thousand draws found none free.
    """
    for _ in range(_TRIES):
        body = PREFIX + "".join(rng.choice(ALPHABET) for _ in range(_BODY))
        check = check_character(body)
        if check in ALPHABET and body + check not in taken:
            return body + check
    raise Refused("no free bag code was found; every code that was drawn is taken")


def nearest(text: str, known: Iterable[str]) -> list[str]:
    """The codes of `known` that one slip turns into `text`, likeliest slip first.

    A slip is one wrong character, two swapped ones, one left out or one too many. Within one kind
    the order of `known` stands. A code equal to `text` comes first.
    """
    typed = normalise(text)
    ranked = [(rank, code) for code in known if (rank := _slip(typed, code)) is not None]
    return [code for _, code in sorted(ranked, key=lambda pair: pair[0])]


def _slip(typed: str, code: str) -> int | None:
    """0 equal, 1 one wrong, 2 two neighbours swapped, 3 two others swapped, 4 left out or too many."""
    if typed == code:
        return 0
    if len(typed) == len(code):
        wrong = [place for place in range(len(code)) if typed[place] != code[place]]
        if len(wrong) == 1:
            return 1
        if len(wrong) == 2:
            first, second = wrong
            if typed[first] == code[second] and typed[second] == code[first]:
                return 2 if second - first == 1 else 3
        return None
    longer, shorter = (code, typed) if len(code) > len(typed) else (typed, code)
    if len(longer) - len(shorter) == 1 and any(
        longer[:place] + longer[place + 1 :] == shorter for place in range(len(longer))
    ):
        return 4
    return None


def read_code(text: str, known: Iterable[str] = ()) -> str:
    """The code that a person typed or a reader read, in its written form; of a label's whole line, its code.

    Raises BadInput with a sentence that says what is wrong and names the codes of `known` that are
    one slip away. A code that is well formed is given back whether it is in `known` or not.
    """
    for written in (text, text.partition(SEPARATOR)[0]):
        code = normalise(written)
        if is_code(code):
            return code
    code = normalise(text)
    shown = text.strip() if len(text.strip()) <= 24 else text.strip()[:23] + "…"
    if not code:
        raise BadInput(f"no bag code given; one looks like {PREFIX}3K7M2Q4: {LENGTH} characters")
    near = nearest(text, known)[:3]
    offer = f" Did you mean {_one_of(near)}?" if near else ""
    if not code.startswith(PREFIX):
        reason = f"a bag code starts with {PREFIX}"
    elif len(code) != LENGTH:
        reason = f"a bag code has {LENGTH} characters, this has {len(code)}"
    elif strange := [character for character in code if character not in ALPHABET]:
        reason = f"a bag code never has {strange[0]}"
    else:
        reason = "its check character does not fit, so a character is wrong or two are swapped"
    raise BadInput(f"{shown} is not a bag code: {reason}.{offer}")


def _one_of(codes: list[str]) -> str:
    return " or ".join(codes) if len(codes) < 3 else f"{', '.join(codes[:-1])} or {codes[-1]}"
