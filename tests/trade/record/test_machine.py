"""A machine: its caption, and what it answers to."""

from __future__ import annotations

import msgspec

from putback.trade.record.machine import PLATE, PLATE_NAMES, Machine, OfMachine


def test_a_machine_answers_to_name_and_serial_with_or_without_doubt() -> None:
    machine = Machine(id=1, name="Ticket press", serial="2041?7")
    for words in ("ticket press", "2041?7", "20417", "TICKET  PRESS 20417", "2?0417"):
        assert machine.answers_to(words), words
    for words in ("", "press", "2041", "ticket press 2041"):
        assert not machine.answers_to(words), words
    assert machine.is_exactly("Ticket press 2041?7") and not machine.is_exactly("20417")
    assert machine.is_twin_of("ticket  PRESS", "2041?7") and not machine.is_twin_of("ticket press", "20417")
    assert not Machine(id=1, name="press").answers_to("")


def test_the_beginning_of_any_word_of_name_or_serial_names_a_machine() -> None:
    machine = Machine(id=1, name="Ticket-dating press", serial="2041?7")
    for words in ("tick", "PRESS", "press 204", "2041", "ticket-dating p", "20417"):
        assert machine.begins_with(words), words
    for words in ("", " ", "dating", "ress", "2042", "press ticket"):
        assert not machine.begins_with(words), words


def test_the_plate_has_a_row_for_all_that_is_said_of_a_machine_and_a_machine_keeps_each() -> None:
    assert {field.name for field in PLATE} == set(OfMachine.__struct_fields__)
    assert all(field.default == "" for field in msgspec.structs.fields(Machine) if field.name in PLATE_NAMES)
    known = {field.name: field for field in PLATE}
    assert known["intent"].entered("run") == "to be restored to run" and known["mass"].entered("") == "mass not known"
    assert known["maker"].question == "What is its maker?"
