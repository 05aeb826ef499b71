"""How a reading is called, and how it was taken, in words."""

from __future__ import annotations

from collections.abc import Mapping

from putback.sizing.instruments import SAID
from putback.trade.record.fastener import TAKEN_BY

FIELD_WORDS = {
    "gauge": "gauge",
    "length": "length",
    "od": "across",
    "thick": "thick",
    "wire": "wire",
    "coils": "coils",
    "pitch": "pitch",
    "width": "width",
    "shoulder": "shoulder",
    "bore": "inside",
    "slot": "slot",
    "across": "head across",
    "flank": "flanks",
    "nut": "nut tried",
}
"""How a field is called."""


def ways_text(readings: Mapping[str, str]) -> str:
    """Return how readings were taken where that is not the usual way: `length by eye`."""
    texts = [
        f"{field.removesuffix('_by')} {SAID.get(way, way)}" for field, way in readings.items() if field in TAKEN_BY
    ]
    return ", ".join(texts)
