"""A stroke of the bench as a code to scan with an elbow: `PK`, six characters and a check character.

The six are drawn from the command's name, so a sheet printed last year still works: the same name
always gives the same code, and nothing needs to be stored.
"""

from hashlib import sha256

from putback.scans.bag_code import ALPHABET, LENGTH, check_character

PREFIX = "PK"
"""What every command code starts with."""


def command_code(name: str) -> str:
    """The code of the command called `name` (its id in the key table, any text)."""
    turn = 0
    while True:
        digest = sha256(f"{turn} {name}".encode()).digest()
        body = PREFIX + "".join(ALPHABET[byte % 32] for byte in digest[:6])
        check = check_character(body)
        if check in ALPHABET:
            return body + check
        turn += 1


def is_command_code(text: str) -> bool:
    """Whether `text`, exactly as it stands, has the form of a command code."""
    return (
        len(text) == LENGTH
        and text.startswith(PREFIX)
        and all(character in ALPHABET for character in text)
        and check_character(text[:-1]) == text[-1]
    )
