"""The scan watch, fed by simulated scanners and thumbs. No clock, no screen."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.scans.bag_code import is_code, new_code
from putback.scans.command_code import command_code, is_command_code
from putback.scans.scan import ScanWatch, What, Where, extract_code

CODE = "PB3K7M2Q4"
OTHER = "PB84G7ZWS"
WRONG = "PB3K7M2Q5"

USB, RADIO, THUMB = 0.004, 0.15, 0.8
"""Seconds a character: a wired scanner, a slow radio one, a thumb hunting for keys."""


@dataclass
class Bench:
    """An app in miniature: a field that takes what the watch hands on, and a list of what it said."""

    where: Where = Where.FORM
    watch: ScanWatch = field(default_factory=ScanWatch)
    now: float = 100.0
    got: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    again: int = 0
    broken: list[str] = field(default_factory=list)
    swallowed: list[str] = field(default_factory=list)

    def press(self, keys: Iterable[str], gap: float = THUMB) -> None:
        for key in keys:
            self.wait(gap)
            event = self.watch.feed(key, self.now, self.where)
            self.got.extend(event.keys)
            if event.what in (What.CODE, What.AGAIN) and event.text:
                assert "".join(self.got).endswith(event.text)
                del self.got[-len(event.text) :]
            if event.what is What.CODE:
                self.codes.append(event.code)
            elif event.what is What.AGAIN:
                self.again += 1
            elif event.what is What.BROKEN:
                self.broken.append(event.text)
            elif event.what is What.SWALLOWED:
                self.swallowed.append(key)

    def wait(self, seconds: float) -> None:
        """Time passes; the timer set for the watch's deadline goes off in it."""
        self.now += seconds
        deadline = self.watch.deadline
        if deadline is not None and deadline <= self.now:
            event = self.watch.lapse(deadline)
            self.got.extend(event.keys)
            if event.what is What.BROKEN:
                self.broken.append(event.text)

    @property
    def field_text(self) -> str:
        return "".join(self.got)


@pytest.mark.parametrize("where", list(Where))
@pytest.mark.parametrize("code", [CODE, CODE.lower(), "pB3k7M2q4"])
@pytest.mark.parametrize("suffix", [[], ["enter"], ["tab"], ["enter", "ctrl+j"], ["\r", "\n"]])
@pytest.mark.parametrize("pace", [USB, 0.03, RADIO])
def test_a_scan_lands_anywhere_at_any_pace_with_any_suffix(
    where: Where, code: str, suffix: list[str], pace: float
) -> None:
    bench = Bench(where)
    bench.press("37")
    bench.press([*code, *suffix], pace)
    bench.wait(1.0)
    bench.press("2")
    assert bench.codes == [CODE]
    assert bench.field_text == "372"
    assert not bench.broken


@pytest.mark.parametrize("gap", [0.2, THUMB, 3.0])
def test_a_thumb_types_a_code_into_the_form_and_the_length_stays(gap: float) -> None:
    bench = Bench()
    bench.press(".3")
    bench.press(CODE.lower(), gap)
    bench.wait(2.0)
    bench.press("72")
    assert (bench.codes, bench.field_text) == ([CODE], ".372")


def test_a_thumb_may_type_the_groups_as_printed_and_mistake_letters_for_digits() -> None:
    bench = Bench()
    bench.press("pb 3k7-m2q 4")
    bench.press("pbo3ili" + "x")  # not a code: fed only to show that O, I and L go on as digits
    bench.wait(9.0)
    assert bench.codes == [CODE]
    assert bench.broken == ["PBO3ILIX"]
    assert bench.got == []


def test_a_persons_enter_is_not_swallowed() -> None:
    for pace in (USB, RADIO, THUMB):
        bench = Bench()
        bench.press("37")
        bench.press(CODE, pace)
        bench.press(["enter"], 1.0)
        assert bench.codes == [CODE]
        assert bench.got == ["3", "7", "enter"]


def test_only_one_suffix_belongs_to_a_code() -> None:
    bench = Bench()
    bench.press([*CODE, "enter"], USB)
    bench.press(["enter"], USB)
    assert bench.got == ["enter"]


def test_keys_right_after_a_scan_are_the_persons() -> None:
    bench = Bench()
    bench.press([*CODE, "enter", "8", "3", "2", "enter"], USB)
    assert bench.got == ["8", "3", "2", "enter"]
    bench.press([*OTHER, "8", "plus"], USB)
    assert bench.got == ["8", "3", "2", "enter", "8", "plus"]


def test_the_same_code_within_two_seconds_counts_once_and_later_is_meant() -> None:
    bench = Bench()
    bench.press([*CODE, "enter"], USB)
    bench.wait(1.0)
    bench.press([*CODE, "enter"], USB)
    assert (bench.codes, bench.again, bench.got) == ([CODE], 1, [])
    bench.wait(1.0)
    bench.press([*CODE, "enter"], USB)
    assert bench.codes == [CODE, CODE]


def test_another_code_within_two_seconds_counts() -> None:
    bench = Bench()
    bench.press([*CODE, "enter", *OTHER, "enter", *CODE, "enter"], USB)
    assert (bench.codes, bench.again) == ([CODE, OTHER, CODE], 0)


def test_two_scans_run_together_without_a_suffix() -> None:
    bench = Bench()
    bench.press(CODE + OTHER, USB)
    assert bench.codes == [CODE, OTHER]


SUMMARY = ": BAG 4 TICKET PRESS SN 2041(7 .375 IN."


@pytest.mark.parametrize("where", list(Where))
@pytest.mark.parametrize("pace", [USB, RADIO])
@pytest.mark.parametrize("suffix", [[], ["enter"], ["tab"]])
def test_the_summary_behind_a_full_labels_code_is_swallowed(where: Where, pace: float, suffix: list[str]) -> None:
    bench = Bench(where)
    bench.press("37")
    bench.press([*CODE, *SUMMARY, *suffix], pace)
    bench.wait(0.8)
    bench.press("2")
    assert bench.codes == [CODE]
    assert bench.field_text == "372"
    assert len(bench.swallowed) == len(SUMMARY) + len(suffix)


def test_a_scanner_may_pause_in_the_middle_of_a_summary() -> None:
    bench = Bench()
    bench.press(CODE + SUMMARY[:12], USB)
    bench.wait(1.2)
    bench.press(SUMMARY[12:], USB)
    assert (bench.codes, bench.got) == ([CODE], [])


def test_a_summary_that_breaks_off_does_not_swallow_the_bench_for_ever() -> None:
    bench = Bench()
    bench.press(CODE + SUMMARY[:12], USB)
    bench.press("5", 2.0)
    assert bench.got == ["5"]


def test_named_keys_are_read_as_their_characters() -> None:
    names = {" ": "space", ":": "colon", ".": "full_stop", "/": "slash", "-": "minus"}
    bench = Bench()
    bench.press([*CODE, *(names.get(c, c) for c in ": BAG 1/4 - 3."), "enter"], USB)
    assert (bench.codes, bench.got) == ([CODE], [])


def test_a_colon_typed_on_a_foreign_keyboard_still_opens_the_summary() -> None:
    bench = Bench()
    bench.press(CODE + "Ö BAG 4.", USB)
    assert (bench.codes, bench.got) == ([CODE], [])


def test_a_lone_p_is_a_command_elsewhere_and_waits_only_a_moment() -> None:
    bench = Bench(Where.KEYS)
    bench.press("p")
    assert bench.got == []
    assert bench.watch.deadline == pytest.approx(bench.now + 0.25)
    bench.wait(0.25)
    assert bench.got == ["p"]
    bench.press("pb", 0.3)
    assert bench.got == ["p", "p", "b"]


def test_held_keys_come_back_in_order_when_the_next_one_does_not_fit() -> None:
    for where in (Where.FORM, Where.KEYS):
        bench = Bench(where)
        bench.press(["p", "7", "P", "f5", "p", "enter", "p", "p", "x"], 0.02)
        assert bench.got == ["p", "7", "P", "f5", "p", "enter", "p", "p", "x"]


def test_a_forgotten_p_is_given_back() -> None:
    bench = Bench()
    bench.press("7pb")
    assert bench.got == ["7"]
    bench.wait(6.0)
    assert bench.got == ["7", "p", "b"]
    assert bench.watch.deadline is None


def test_a_wrong_code_is_told_and_its_digits_reach_no_field() -> None:
    for pace in (USB, THUMB):
        bench = Bench()
        bench.press("37")
        bench.press([*WRONG, "enter"], pace)
        assert bench.broken == [WRONG]
        assert bench.field_text.startswith("37") and bench.got[2:] in ([], ["enter"])


def test_enter_in_the_middle_of_a_code_ends_it_and_sends_nothing() -> None:
    bench = Bench()
    bench.press([*"37", *"pb3k", "enter"])
    assert (bench.broken, bench.field_text) == (["PB3K"], "37")


def test_another_key_in_the_middle_of_a_code_still_does_its_work() -> None:
    bench = Bench()
    bench.press([*"37", *"pb3k", "f5"])
    assert (bench.broken, bench.got) == (["PB3K"], ["3", "7", "f5"])


def test_a_code_left_half_typed_is_told_after_a_while() -> None:
    bench = Bench()
    bench.press("37pb3k7")
    bench.wait(60)
    assert (bench.broken, bench.field_text) == (["PB3K7"], "37")


def test_without_a_timer_the_next_key_settles_what_was_held() -> None:
    watch = ScanWatch()
    watch.feed("p", 0.0, Where.KEYS)
    event = watch.feed("7", 9.0, Where.KEYS)
    assert (event.what, event.keys) == (What.PASSED, ("p", "7"))
    for key in "pb3k7":
        watch.feed(key, 10.0)
    event = watch.feed("7", 60.0)
    assert (event.what, event.keys, event.text) == (What.BROKEN, ("7",), "PB3K7")


def test_backspace_and_escape_work_on_what_is_held() -> None:
    bench = Bench()
    bench.press([*"37", *"pb3k x", "backspace", *"7m2q4"])
    assert (bench.codes, bench.field_text) == ([CODE], "37")
    bench.press([*"pb3", "escape", "2"])
    assert bench.field_text == "372"
    bench.press([*"pb", "backspace", "backspace", "5"])
    assert bench.field_text == "3725"
    assert not bench.broken


def test_held_text_is_told_for_the_screen() -> None:
    watch = ScanWatch()
    texts = [watch.feed(key, 0.0).text for key in "pb3 k"]
    assert texts == ["P", "PB", "PB3", "PB3", "PB3K"]


def test_prose_in_a_text_field_is_handed_on_as_it_is_typed() -> None:
    prose = "PB lead shot; pb3k7m2q (a code cut short), Pb 3K7 and P"
    bench = Bench(Where.TEXT)
    bench.press(prose, 0.1)
    assert bench.field_text == prose
    assert not bench.codes


def test_a_scan_in_the_middle_of_a_word_is_taken_out_of_the_text() -> None:
    bench = Bench(Where.TEXT)
    bench.press("bolt is be", 0.12)
    bench.press([*CODE.lower(), "enter"], USB)
    bench.press("nt", 0.3)
    assert (bench.codes, bench.field_text) == ([CODE], "bolt is bent")


def test_a_code_corrected_in_a_text_field_is_known_and_a_cursor_move_forgets() -> None:
    bench = Bench(Where.TEXT)
    bench.press(CODE[:-1] + "X", 0.2)
    event = bench.watch.feed("backspace", bench.now, Where.TEXT)
    assert event.keys == ("backspace",)
    assert bench.watch.feed(CODE[-1], bench.now, Where.TEXT).code == CODE
    bench = Bench(Where.TEXT)
    bench.press([*CODE[:-1], "left", CODE[-1]], 0.2)
    assert bench.codes == []


def test_pace_is_told_apart() -> None:
    for pace, fast in ((USB, True), (0.05, True), (RADIO, False)):
        watch = ScanWatch()
        events = [watch.feed(key, index * pace) for index, key in enumerate(CODE)]
        assert events[-1].what is What.CODE
        assert events[-1].fast is fast


KEYPAD = [*"0123456789./*-+", "enter", "tab"]
codes = st.integers(0, 2**32).map(lambda seed: new_code(Random(seed), ()))


@given(
    before=st.lists(st.sampled_from(KEYPAD), max_size=8),
    code=codes,
    lower=st.booleans(),
    suffix=st.sampled_from([[], ["enter"], ["tab"]]),
    summary=st.booleans(),
    pace=st.sampled_from([0.0, USB, 0.05, RADIO, 0.24]),
    jitter=st.integers(0, 2**32),
    after=st.lists(st.sampled_from(KEYPAD), max_size=8),
    where=st.sampled_from(list(Where)),
)
@settings(max_examples=200)
def test_a_scan_between_any_keypad_strokes_leaves_exactly_those_strokes(
    before: list[str],
    code: str,
    lower: bool,
    suffix: list[str],
    summary: bool,
    pace: float,
    jitter: int,
    after: list[str],
    where: Where,
) -> None:
    rng = Random(jitter)
    bench = Bench(where)
    bench.press(before, 0.2)
    typed = [*(code.lower() if lower else code), *(SUMMARY if summary else ""), *suffix]
    for key in typed:
        bench.press([key], pace * rng.uniform(0.6, 1.0))
    bench.wait(0.5)
    bench.press(after, 0.2)
    assert bench.codes == [code]
    assert bench.got == before + after
    assert not bench.broken


@given(st.lists(st.sampled_from([*KEYPAD, *"pbkx7 ", "escape", "backspace", "f1"]), max_size=40), st.data())
@settings(max_examples=200)
def test_nothing_is_ever_handed_on_twice_or_out_of_order(keys: list[str], data: st.DataObject) -> None:
    where = data.draw(st.sampled_from([Where.FORM, Where.KEYS]))
    bench = Bench(where)
    bench.press(keys, data.draw(st.sampled_from([0.01, 0.1, 0.3])))
    bench.wait(30)
    rest = iter(keys)
    assert all(key in rest for key in bench.got)  # a subsequence of what was pressed
    assert bench.watch.deadline is None


def test_extract_code() -> None:
    assert extract_code(f"see {CODE}") == ("see ", CODE)
    assert extract_code(CODE.lower()) == ("", CODE)
    assert extract_code(f"bolt{CODE}") == ("bolt", CODE)
    assert extract_code(f"{CODE} ") is None
    assert extract_code(WRONG) is None
    assert extract_code("") is None
    assert extract_code("PB3K7M2Q٤") is None
    assert extract_code(command_code("same")) == ("", command_code("same"))


def test_command_codes_are_stable_and_no_bag_codes() -> None:
    names = [f"command.{n}" for n in range(200)]
    made = [command_code(name) for name in names]
    assert len(set(made)) == len(made)
    assert all(is_command_code(code) and not is_code(code) for code in made)
    # Sheets printed once must keep working: a changed value here breaks every sheet on a wall.
    assert command_code("same_again") == SHEET["same_again"]
    assert command_code("part_off") == SHEET["part_off"]


SHEET = {"same_again": "PK6QE3K21", "part_off": "PKF5P6M12"}


def test_a_command_code_is_scanned_like_a_bag_code() -> None:
    bench = Bench()
    bench.press([*"37", *command_code("same_again"), "enter"], USB)
    assert (bench.codes, bench.field_text) == ([command_code("same_again")], "37")
