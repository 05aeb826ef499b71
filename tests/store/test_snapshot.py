"""The snapshot file: plain TinyDB, one document a line, and no damage passes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from zlib import crc32

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Raw
from tinydb import TinyDB

from putback.store import snapshot
from putback.store.disk import Disk
from putback.store.journal import Documents
from putback.store.line import Fault
from putback.store.snapshot import Foreign, Newer, Title, read, write
from putback.trade.record.change import Document

TITLE = Title(format=2, workshop="7f3a91c2", fold=4, number=12, last_ids={"bag": 9})
ROWS: Documents = {
    "bag": {1: {"count": 2, "code": "PB0000017"}, 9: {"count": 0}},
    "empty": {},
    'a "name" [x]\n': {3: {"name": "naïve\nscrew 🔩", "list": [1, [2]], "none": None, "half": 0.5}},
}

plain_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=5), inner, max_size=3)
    ),
    max_leaves=8,
)
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=8).filter(
    lambda name: name not in snapshot.RESERVED
)
documents = st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=5), plain_values, max_size=4)
tables = st.dictionaries(names, st.dictionaries(st.integers(1, 10**9), documents, max_size=4), max_size=4)


def written(path: Path, rows: Mapping[str, Mapping[int, Document]] = ROWS) -> Path:
    write(Disk(), path, TITLE, rows)
    return path


def test_a_snapshot_reads_back_without_its_empty_tables(tmp_path: Path) -> None:
    found = read(written(tmp_path / "s.json"))
    assert found.title == TITLE
    assert found.tables == {name: rows for name, rows in ROWS.items() if rows}
    assert found.title.last_ids == {"bag": 9} and found.tables["bag"].last_id == 9


def test_a_document_stays_the_text_it_was_until_it_is_asked_for(tmp_path: Path) -> None:
    first = written(tmp_path / "s.json")
    rows = read(first).tables
    assert rows["bag"][1] == {"count": 2, "code": "PB0000017"} and rows["bag"][1] is not rows["bag"][1]
    assert {type(found) for table in rows.values() for found in table.held().values()} == {Raw}
    assert written(tmp_path / "t.json", rows).read_bytes() == first.read_bytes()


@settings(max_examples=80, deadline=None)
@given(tables)
def test_whatever_the_tables_hold_comes_back(rows: Documents) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder) / "s.json", rows)
        assert read(path).documents() == {name: table for name, table in rows.items() if table}
        stock = json.loads(path.read_bytes())
        with TinyDB(path, encoding="utf-8") as plain:
            for name, table in rows.items():
                assert {d.doc_id: dict(d) for d in plain.table(name)} == table
        assert set(stock) == {"putback", "checksum", *(name for name, table in rows.items() if table)}


def test_batches_meet_without_a_seam(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows: Documents = {"bag": {n: {"n": n} for n in range(1, 8)}, "thing": {n: {} for n in range(1, 4)}}
    for batch in (1, 2, 3, 7, 100):
        monkeypatch.setattr(snapshot, "_BATCH", batch)
        path = written(tmp_path / "s.json", rows)
        assert read(path).documents() == rows
        json.loads(path.read_bytes())


def test_it_is_laid_out_line_by_line(tmp_path: Path) -> None:
    lines = written(tmp_path / "s.json").read_text("utf-8").splitlines()
    assert lines[0] == "{" and lines[1].startswith('"putback": {"1": {"format":2,')
    assert lines[2:6] == ['"bag": {', '"1": {"count":2,"code":"PB0000017"},', '"9": {"count":0}', "},"]
    assert lines[-2].startswith('"checksum": {"1": {"crc32": "') and lines[-1] == "}"
    data = (tmp_path / "s.json").read_bytes()
    body = data[: data.rindex(b'"checksum"')]
    assert json.loads(data)["checksum"]["1"]["crc32"] == f"{crc32(body):08x}"


def test_no_single_changed_or_missing_byte_passes(tmp_path: Path) -> None:
    path = written(tmp_path / "s.json")
    whole = path.read_bytes()
    for place in range(len(whole)):
        for damaged in (
            whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :],
            whole[:place] + bytes([whole[place] ^ 0x20]) + whole[place + 1 :],
            whole[:place] + whole[place + 1 :],
            whole[:place],
        ):
            path.write_bytes(damaged)
            with pytest.raises((Fault, Foreign, Newer)) as caught:
                read(path)
            assert not (isinstance(caught.value, Newer) and caught.value.sound)


def test_a_fault_names_its_line_where_there_is_one(tmp_path: Path) -> None:
    path = written(tmp_path / "s.json")
    lines = path.read_bytes().splitlines(keepends=True)
    for number, line in enumerate(lines[:-2], 1):
        if number < 3 or line == b"},\n" or line.endswith(b": {\n"):
            continue
        path.write_bytes(b"".join([*lines[: number - 1], line[:2] + b"}" + line[2:], *lines[number:]]))
        with pytest.raises(Fault, match=f"stops making sense in line {number}$"):
            read(path)


def sealed(text: bytes) -> bytes:
    return text + snapshot._SUM % crc32(text)


@pytest.mark.parametrize(
    "text",
    [
        b'{\n"putback": {"1": {"format":1}},\n',
        b'{\n"putback": {"1": ' + b'{"a":' * 100_000 + b"},\n",
        b'{\n"putback": {"1": {"format":2,"workshop":"x","fold":1,"number":0,"last_ids":{}}},\n"bag": {\n"1": '
        + b'{"a":' * 100_000
        + b"\n},\n",
        b'{\n"putback": {"1": {"format":2,"workshop":"x","fold":1,"number":0,"last_ids":{}}},\n"bag": {\n"1": 5\n},\n',
        b'{\n"putback": {"1": {"format":2,"workshop":"x","fold":1,"number":0,"last_ids":{}}},\n"bag": {\n"1": {}\n',
        b'{\n"putback": {"1": {"format":2,"workshop":"x","fold":1,"number":0,"last_ids":{}}},\nnonsense\n',
    ],
)
def test_what_was_made_to_fit_its_checksum_is_a_fault_all_the_same(tmp_path: Path, text: bytes) -> None:
    path = tmp_path / "s.json"
    path.write_bytes(sealed(text))
    with pytest.raises(Fault):
        read(path)


@pytest.mark.parametrize("data", [b"", b"{}", b'{"_default": {"1": {}}}', b"not json", b"\0" * 5000, b"[" * 200_000])
def test_other_files_are_foreign(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.json"
    path.write_bytes(data)
    with pytest.raises(Foreign):
        read(path)


def test_a_newer_format_says_whether_it_is_sound(tmp_path: Path) -> None:
    path = written(tmp_path / "s.json")
    text = path.read_bytes().replace(b'"format":2', b'"format":3')
    path.write_bytes(text)
    with pytest.raises(Newer) as caught:
        read(path)
    assert (caught.value.version, caught.value.sound) == (3, False)
    path.write_bytes(sealed(text[: text.rindex(b'"checksum"')]))
    with pytest.raises(Newer) as caught:
        read(path)
    assert caught.value.sound


def test_a_file_larger_than_any_workshop_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(snapshot, "SIZE_LIMIT", 100)
    with pytest.raises(Fault, match="more than any workshop"):
        read(written(tmp_path / "s.json"))
