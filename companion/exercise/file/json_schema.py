"""The JSON Schema of an exercise file, made from the table of keys.

Editors that know JSON Schema mark mistakes in TOML while one writes; a TOML date counts
there as its text. `schema.json` beside this module is this, word for word; after a change
of the keys write it anew with `python -m companion.exercise.file.json_schema`.
"""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

from companion.exercise.file.key_table import EXERCISE
from companion.exercise.file.value_kinds import Schema

_FILE_NAME = "schema.json"


def schema() -> Schema:
    """JSON Schema, draft 2020-12."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Exercise file of companion",
        **EXERCISE.schema(),
    }


def schema_text() -> str:
    """The same as the text of a file."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


def shipped() -> str:
    """The text of the schema that lies beside this module."""
    return files("companion.exercise.file").joinpath(_FILE_NAME).read_text("utf-8")


if __name__ == "__main__":
    Path(__file__).with_name(_FILE_NAME).write_text(schema_text(), "utf-8")
