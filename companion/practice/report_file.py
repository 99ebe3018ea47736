"""The report as a file: JSON, with a checksum over its body.

The checksum is of the body in one canonical form (keys in order, no spaces, UTF-8), so a
mailer that breaks lines or an editor that indents does no harm, while a changed outcome or
a lost line shows. It is a checksum and no signature, and the file says so itself.
"""

from __future__ import annotations

import json
from hashlib import sha256

import msgspec

from companion.errors import CompanionError
from companion.practice.report import Report
from companion.practice.report_faults import fault_in

KIND = "companion report"
"""What the file says it is."""
FORMAT = 1
"""The version that is written, and the latest that is read."""
LARGEST = 32 * 1024 * 1024
"""Bytes of a report at most."""
ABOUT = (
    "The checksum (SHA-256 of the body) shows accidents and careless edits. It proves nothing "
    "about who made the report or what was played: anyone can change it and reckon the "
    "checksum anew, and every judgement in it is the player's own."
)
"""What the check is worth, in every file, page and help text."""


class ReportError(CompanionError):
    """A report cannot be believed or read."""


class _Envelope(msgspec.Struct):
    kind: str = ""
    format: int = 0
    sha256: str = ""
    body: msgspec.Raw = msgspec.Raw(b"")


def canonical(body: object) -> bytes:
    """Plain objects as canonical JSON."""
    return json.dumps(
        body, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    ).encode("utf-8", "backslashreplace")


def write_report(report: Report) -> bytes:
    """The content of the file."""
    body = canonical(msgspec.to_builtins(report))
    head = {"kind": KIND, "format": FORMAT, "about": ABOUT, "sha256": sha256(body).hexdigest()}
    told = json.dumps(head, indent=1)[:-2]
    return told.encode() + b',\n "body": ' + body + b"\n}\n"


def read_report(content: bytes, name: str) -> Report:
    """The report in a file. Raises ReportError saying why it cannot be taken."""
    envelope = _envelope(content, name)
    if envelope.kind != KIND:
        raise _foreign(name)
    if envelope.format > FORMAT:
        raise ReportError(
            f"this report is in format {envelope.format}, and this companion reads {FORMAT}",
            where=name,
            next="Update companion, then collect it again.",
        )
    body = bytes(envelope.body)
    if not _is_whole(body, envelope.sha256):
        raise ReportError(
            "this report was damaged or edited after it was made",
            where=name,
            next="Ask for it again.",
        )
    try:
        report = msgspec.json.decode(body, type=Report)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        raise _strange(name) from None
    if fault_in(report):
        raise _strange(name)
    return report


def _envelope(content: bytes, name: str) -> _Envelope:
    if len(content) > LARGEST:
        raise ReportError(
            f"this file is over {LARGEST // 1024**2} megabytes, too long for a report", where=name
        )
    try:
        return msgspec.json.decode(content.removeprefix(b"\xef\xbb\xbf"), type=_Envelope)
    except msgspec.ValidationError:
        raise _foreign(name) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        if KIND.encode() in content[:200]:
            raise ReportError(
                "this report was cut short or damaged on the way",
                where=name,
                next="Ask for it again.",
            ) from None
        raise _foreign(name) from None


def _is_whole(body: bytes, checksum: str) -> bool:
    """Whether a body is the one the checksum was reckoned from, however it is laid out."""
    if sha256(body).hexdigest() == checksum:
        return True
    try:
        return sha256(canonical(json.loads(body))).hexdigest() == checksum
    except (ValueError, RecursionError):
        return False


def _foreign(name: str) -> ReportError:
    return ReportError(
        "this is no practice report", where=name, next="companion report writes one."
    )


def _strange(name: str) -> ReportError:
    return ReportError(
        "this report holds what no report can hold", where=name, next="Ask for it again."
    )
