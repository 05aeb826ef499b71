"""The table of kinds: one home for what bench, record and sizes ask of a kind."""

import putback.sizing as sizing
from putback.sizing.kinds import ALONE, KIND_ROWS, KINDS, OVER_ALL, STOCKED_LENGTH, THREADED
from putback.sizing.lengths import datum
from putback.sizing.readings import Readings
from putback.trade.record import fastener
from putback.trade.record.fastener import READINGS
from putback.tui.form.entry import FIELDS


def test_every_kind_asks_for_readings_that_there_are() -> None:
    for kind in KIND_ROWS:
        assert kind.asks and set(kind.asks) <= set(READINGS) & set(Readings.__struct_fields__), kind.name
        assert not kind.threaded or kind.asks[0] == "gauge"
        assert FIELDS[kind.name] == kind.asks
        assert (datum(kind.name, None) == "over all") == kind.over_all


def test_bench_and_record_have_the_same_kinds() -> None:
    assert len(set(KINDS)) == len(KINDS)
    assert (fastener.KINDS, fastener.ALONE, fastener.THREADED) == (KINDS, ALONE, THREADED)
    assert THREADED - {"nut"} <= STOCKED_LENGTH <= set(KINDS) and set(KINDS) >= OVER_ALL


def test_what_the_room_gives_is_there() -> None:
    for name in sizing.__all__:
        assert getattr(sizing, name) is not None, name
