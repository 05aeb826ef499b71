"""Bag codes against ISO/IEC 7064 MOD 37-2: a published worked example, its definition, a library."""

from collections.abc import Iterator
from itertools import combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from putback.errors import BadInput, Refused
from putback.scans.bag_code import (
    ALPHABET,
    LENGTH,
    PREFIX,
    check_character,
    is_code,
    nearest,
    new_code,
    normalise,
    read_code,
)

VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"

PUBLISHED = [
    # Guidelines for the Blood Transfusion Services in the UK (JPAC Red Book), annex "ISBT 128 check
    # character calculation", table A2.2: worked out by hand there, sum 148354, mod 37 = 21, 38 - 21.
    ("G123498654321", "H"),
    # The example that python-stdnum and several other libraries of ISO 7064 carry in their tests.
    ("G123489654321", "Y"),
]


def weighted_check(text: str) -> str:
    """The polynomial definition: the values times 2**(n-1), n from the right, sum to 1 mod 37."""
    total = sum(VALUES.index(c) * 2**n for n, c in enumerate(reversed(text), start=1))
    return next(c for c in VALUES if (total + VALUES.index(c)) % 37 == 1)


codes = st.integers(0, 2**32).map(lambda seed: new_code(Random(seed), ()))
any_body = st.text(alphabet=VALUES[:-1], max_size=30)


@pytest.mark.parametrize(("text", "check"), PUBLISHED)
def test_published_examples(text: str, check: str) -> None:
    assert check_character(text) == check


@given(any_body)
@settings(max_examples=300)
def test_agrees_with_the_definition_and_with_a_library(text: str) -> None:
    assert check_character(text) == weighted_check(text) == mod_37_2.calc_check_digit(text)


@given(codes)
def test_the_library_calls_every_issued_code_valid(code: str) -> None:
    assert mod_37_2.is_valid(code)
    assert is_code(code) and len(code) == LENGTH and code.startswith(PREFIX)
    assert set(code) <= set(ALPHABET)


@pytest.mark.parametrize("text", ["PB*", "pb", "PB 1", "é"])
def test_characters_without_a_value_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no value"):
        check_character(text)


def test_the_alphabet_leaves_out_what_looks_alike() -> None:
    assert len(ALPHABET) == 32
    assert not set("ILOU*") & set(ALPHABET)


def test_about_one_draw_in_seven_is_skipped() -> None:
    rng = Random(7)
    bodies = [PREFIX + "".join(rng.choices(ALPHABET, k=6)) for _ in range(4000)]
    skipped = sum(check_character(body) not in ALPHABET for body in bodies) / len(bodies)
    assert 0.11 < skipped < 0.16  # 5 of the 37 check characters: 0.135


def test_codes_whose_check_is_not_in_the_alphabet_are_no_codes() -> None:
    bad = {"*": 0, "I": 0, "L": 0, "O": 0, "U": 0}
    rng = Random(3)
    while min(bad.values()) < 3:
        body = PREFIX + "".join(rng.choices(ALPHABET, k=6))
        check = check_character(body)
        assert is_code(body + check) == (check not in bad)
        if check in bad:
            bad[check] += 1


def test_same_draws_same_code_and_taken_ones_are_passed_over() -> None:
    first = new_code(Random(1), ())
    assert new_code(Random(1), ()) == first
    assert new_code(Random(1), {first}) != first


def test_when_every_code_is_taken_it_says_so() -> None:
    class Everything:
        def __contains__(self, item: object) -> bool:
            return True

    with pytest.raises(Refused, match="no free bag code"):
        new_code(Random(1), Everything())


def slips(code: str) -> Iterator[str]:
    """Every code with one character wrong and every one with two swapped, near or far."""
    for place in range(len(code)):
        for wrong in VALUES:
            if wrong != code[place]:
                yield code[:place] + wrong + code[place + 1 :]
    for i, j in combinations(range(len(code)), 2):
        if code[i] != code[j]:
            swapped = list(code)
            swapped[i], swapped[j] = swapped[j], swapped[i]
            yield "".join(swapped)


@given(codes)
@settings(max_examples=20)
def test_every_single_slip_is_caught_and_its_code_found(code: str) -> None:
    others = [new_code(Random(seed), ()) for seed in range(40)]
    for slip in slips(code):
        assert not is_code(slip)
        if normalise(slip) != code:
            assert code in nearest(slip, [*others, code])


def test_nearest_puts_the_likeliest_slip_first() -> None:
    code = "PB3K7M2Q4"
    wrong = "PB3K7M2QX"
    assert nearest("PB3K7M2Q5", ["PB84G7ZWS", code]) == [code]
    assert nearest("pb 3k7 2mq4", [code]) == [code]
    assert nearest("PB3K7MQ4", [code]) == [code]
    assert nearest("PB3K77M2Q4", [code]) == [code]
    assert nearest("PB3K7M2Q4", [wrong, code]) == [code, wrong]
    assert nearest("PB000000", [code]) == []


@pytest.mark.parametrize(
    "typed", ["pb3k7m2q4", " PB3K7M2Q4 ", "PB 3K7 M2Q 4", "pb-3k7-m2q-4", "Pb3k7M2q4\n", "PB\u00a03K7M2Q4"]
)
def test_case_and_blanks_do_not_matter(typed: str) -> None:
    assert normalise(typed) == "PB3K7M2Q4"
    assert read_code(typed) == "PB3K7M2Q4"


def test_letters_no_code_has_are_read_as_the_digits_they_look_like() -> None:
    assert normalise("pboil") == "PB011"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "no bag code given"),
        ("   ", "no bag code given"),
        ("AB3K7M2Q4", "starts with PB"),
        ("PB3K7M", "9 characters, this has 6"),
        ("PB3K7M2QU", "never has U"),
        ("PB3K7M2Q*", r"never has \*"),
        ("PB3K7M2Q5", "check character does not fit"),
        ("x" * 300, "x{23}… is not a bag code"),
        ("PB[/]3K7M", "never has"),
        ("٣٣٣", "starts with PB"),
    ],
)
def test_a_bad_code_gets_one_sentence(typed: str, says: str) -> None:
    with pytest.raises(BadInput, match=says) as caught:
        read_code(typed)
    assert "\n" not in str(caught.value)


def test_the_sentence_offers_the_codes_of_this_workshop() -> None:
    with pytest.raises(BadInput, match=r"Did you mean PB3K7M2Q4\?"):
        read_code("PB3K7M2Q5", ["PB84G7ZWS", "PB3K7M2Q4"])
    with pytest.raises(BadInput, match=r"\.$"):
        read_code("PB3K7M2Q5", ["PB84G7ZWS"])


@given(st.text(max_size=40))
def test_any_text_is_a_code_or_one_sentence(text: str) -> None:
    try:
        assert is_code(read_code(text, ["PB3K7M2Q4"]))
    except BadInput as refusal:
        assert len(str(refusal)) < 250
