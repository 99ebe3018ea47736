"""Packs: the same bytes every time, and nothing in a strange one is believed.

Sources: the ZIP file format (APPNOTE.TXT 6.3: end record, general purpose bits, external
attributes); SHA-256 (FIPS 180-4), here by the standard library.
"""

from __future__ import annotations

import json
import struct
import zipfile
from collections.abc import Callable
from hashlib import sha256
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.exercise.pack import (
    LARGEST_PACK,
    MANIFEST,
    MOST_FILES,
    PackError,
    is_pack,
    pack,
    unpack,
)

EXERCISE = b'format = 1\ntitle = "x"\n[[drill]]\npattern = "2/4 h"\n'
FILES = {"exercise.toml": EXERCISE, "scores/a.musicxml": b"<score/>" * 200}


def listed(files: dict[str, bytes], **other: object) -> bytes:
    """A list of contents as the format has it, made without the program."""
    told = {n: {"size": len(c), "sha256": sha256(c).hexdigest()} for n, c in files.items()}
    return json.dumps({"kind": "companion exercise", "format": 1, "files": told} | other).encode()


def zipped(
    files: dict[str, bytes], change: Callable[[zipfile.ZipInfo], None] | None = None
) -> bytes:
    """A zip file with these entries, by the standard library alone."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o100644 << 16
            if change:
                change(entry)
            made.writestr(entry, content)
    return out.getvalue()


def packed(files: dict[str, bytes], **other: object) -> bytes:
    return zipped({MANIFEST: listed(files, **other), **files})


def refused(content: bytes, told: str) -> None:
    with pytest.raises(PackError, match=told) as caught:
        unpack(content, "x.exercise")
    assert "\n" not in caught.value.sentence() and caught.value.where == "x.exercise"


def test_what_is_packed_is_unpacked() -> None:
    assert unpack(pack(FILES), "x")[0] == FILES
    assert is_pack(pack(FILES)) and not is_pack(EXERCISE)


def test_the_same_files_give_the_same_bytes_in_any_order() -> None:
    assert pack(FILES) == pack(dict(reversed(FILES.items())))


def test_any_zip_program_can_look_inside() -> None:
    with zipfile.ZipFile(BytesIO(pack(FILES))) as opened:
        assert opened.namelist() == [MANIFEST, *sorted(FILES)]
        told = json.loads(opened.read(MANIFEST))["files"]
        assert told["exercise.toml"] == {
            "size": len(EXERCISE),
            "sha256": sha256(EXERCISE).hexdigest(),
        }
        assert {entry.date_time for entry in opened.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_pack_made_by_other_means_opens() -> None:
    assert unpack(packed(FILES), "x")[0] == FILES


NAMES_THAT_LEAD_ELSEWHERE = [
    *("../evil.toml", "a/../../evil", "/etc/passwd", "..", ".", "a//b", "a/", "C:/x", "a\\b"),
    *("a\x07b", "con", "NUL.xml", "a/aux.toml", "dot.", "space ", "x" * 300, ""),
]


@pytest.mark.parametrize("name", NAMES_THAT_LEAD_ELSEWHERE)
def test_a_name_that_leads_elsewhere_is_refused(name: str) -> None:
    refused(packed({**FILES, name: b"x"}), "a file in it is called|is there twice|folder")


@pytest.mark.parametrize("mode", [0o120777, 0o040755, 0o010644, 0o020644])
def test_links_folders_pipes_and_devices_are_refused(mode: int) -> None:
    def as_link(entry: zipfile.ZipInfo) -> None:
        if entry.filename != MANIFEST:
            entry.external_attr = mode << 16

    refused(zipped({MANIFEST: listed(FILES), **FILES}, as_link), "is a link or a folder")


def test_a_file_larger_than_it_says_is_not_read_on() -> None:
    bomb = {**FILES, "scores/a.musicxml": b"\0" * 50_000_000}
    content = zipped({MANIFEST: listed(FILES), **bomb})
    assert len(content) < 100_000
    refused(content, "larger than it says")


def test_all_files_together_are_bounded() -> None:
    many = {f"scores/{n}.xml": b"\0" * 30_000_000 for n in range(4)}
    refused(packed({**FILES, **many}), "over 100 megabytes together")


def test_a_list_of_contents_that_is_a_bomb_is_not_read_on() -> None:
    refused(zipped({MANIFEST: b" " * 80_000_000, **FILES}), "larger than it says")


def test_ten_thousand_entries_are_refused_before_they_are_read() -> None:
    many = {f"scores/{n}.xml": b"" for n in range(10_000)}
    refused(packed({**FILES, **many}), f"more than {MOST_FILES} files")


def test_a_count_that_lies_does_not_help() -> None:
    many = bytearray(packed({**FILES, **{f"scores/{n}.xml": b"" for n in range(10_000)}}))
    end = many.rfind(b"PK\x05\x06")
    many[end + 8 : end + 12] = struct.pack("<HH", 3, 3)
    refused(bytes(many), f"more than {MOST_FILES} files")


def test_a_pack_over_the_limit_is_not_even_looked_at() -> None:
    refused(b"PK\x03\x04" + b"\0" * LARGEST_PACK, "over 50 megabytes")


def test_a_changed_letter_shows() -> None:
    spoilt = {**FILES, "exercise.toml": EXERCISE.replace(b"x", b"y")}
    refused(zipped({MANIFEST: listed(FILES), **spoilt}), "not as it was when it was packed")


def test_what_is_not_on_the_list_is_refused_and_what_is_missing_too() -> None:
    refused(zipped({MANIFEST: listed(FILES), **FILES, "extra.sh": b"x"}), "but not on both")
    refused(zipped({MANIFEST: listed(FILES), "exercise.toml": EXERCISE}), "but not on both")


def test_a_pack_without_an_exercise_or_a_list_is_none() -> None:
    refused(packed({"scores/a.musicxml": b"x"}), "there is no exercise in it")
    refused(zipped(FILES), "not a pack")
    refused(b"PK\x03\x04 and then nothing", "its end is missing")


def test_names_that_differ_only_in_capitals_are_refused() -> None:
    refused(packed({**FILES, "SCORES/A.musicxml": b"x"}), "is there twice")


def test_names_in_foreign_encodings_are_refused() -> None:
    content = packed({**FILES, "scores/aeaeae.xml": b"x"})
    in_latin = content.replace(b"scores/aeaeae.xml", b"scores/\xe4\xe4\xe4\xe4\xe4\xe4.xml")
    refused(in_latin, "but not on both")
    utf8 = packed({**FILES, "scores/éé.xml": b"x"})
    refused(utf8.replace("éé".encode(), b"\xff\xfe\xff\xfe"), "damaged")


def test_a_locked_entry_is_refused() -> None:
    content = bytearray(packed(FILES))
    at = content.rfind(b"PK\x01\x02")
    content[at + 8] |= 1
    refused(bytes(content), "locked with a password")


def test_another_way_of_compressing_is_refused() -> None:
    def by_bzip(entry: zipfile.ZipInfo) -> None:
        entry.compress_type = zipfile.ZIP_BZIP2

    refused(zipped({MANIFEST: listed(FILES), **FILES}, by_bzip), "in a way that is not read here")


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        (b"{", "not that of an exercise"),
        (b"[]", "not that of an exercise"),
        (b'{"kind": "something else", "format": 1, "files": {}}', "not that of an exercise"),
        (b'{"kind": "companion exercise", "format": 1, "files": {"a": 1}}', "not that of"),
        (b'{"kind": "companion exercise", "format": 1, "files": []}', "not that of"),
        (b'{"kind": "companion exercise", "format": 2, "files": {}}', "in format 2"),
        ("{}".encode("utf-16"), "not that of an exercise"),
        (b"[" * 100_000, "not that of an exercise"),
    ],
)
def test_a_strange_list_of_contents_is_refused(told: bytes, sentence: str) -> None:
    refused(zipped({MANIFEST: told, **FILES}), sentence)


@given(st.integers(0, 10_000), st.binary(min_size=1, max_size=4))
@settings(deadline=None)
def test_a_pack_damaged_anywhere_is_whole_or_refused(at: int, spoilt: bytes) -> None:
    content = packed(FILES)
    at %= len(content)
    damaged = content[:at] + spoilt + content[at + len(spoilt) :]
    try:
        assert unpack(damaged, "x")[0] == FILES
    except PackError as error:
        assert "\n" not in error.sentence()


@given(st.binary(max_size=300))
@settings(deadline=None)
def test_any_bytes_are_refused_in_a_sentence(content: bytes) -> None:
    with pytest.raises(PackError):
        unpack(b"PK\x03\x04" + content, "x")


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"../a": b""}, "cannot be called"),
        ({"Manifest.JSON": b""}, "cannot be called"),
        ({"a.xml": b"", "A.XML": b""}, "capital letters"),
        ({f"{n}.xml": b"" for n in range(MOST_FILES + 1)}, "at most"),
    ],
)
def test_what_could_not_be_opened_is_not_packed(files: dict[str, bytes], told: str) -> None:
    with pytest.raises(PackError, match=told):
        pack(files)
