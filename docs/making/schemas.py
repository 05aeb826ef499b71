"""Writes the JSON Schemas beside the documents, `docs/schemas`: run `python -m docs.making.schemas`."""

from __future__ import annotations

import json
from pathlib import Path

from putback.reports.answer_schemas import ANSWERS, answer_schema, file_name
from putback.reports.export_schema import export_schema
from putback.trade.files.session_schema import session_schema

FOLDER = Path(__file__).parents[1] / "schemas"


def main() -> None:
    """Write all of them."""
    schemas = {"export.schema.json": export_schema(), "session-file.schema.json": session_schema()}
    schemas |= {file_name(command): answer_schema(command) for command in ANSWERS}
    for name, schema in schemas.items():
        text = json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
        (FOLDER / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
