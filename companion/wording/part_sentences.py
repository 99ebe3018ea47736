"""What was written as a part, and what it gained."""

from __future__ import annotations

from companion.session.part_file import PartFile
from companion.wording.phrases import written_told

ADDED = {
    "cues": "cue",
    "multi-bar rests": "multi-bar rest",
    "rehearsal marks": "rehearsal mark",
    "tempo marks": "tempo mark",
    "signs": "sign",
    "repeats and endings": "repeat or ending",
    "meter notes": "meter note",
}
"""What a part can gain over its staff in the score: several, and one."""


def part_told(taken: PartFile) -> str:
    """`Written: viola.pdf: Viola, with 3 cues, 12 multi-bar rests`."""
    files = str(taken.files[0])
    if len(taken.files) > 1:
        files += f" … {taken.files[-1].name}"
    added = ", ".join(
        f"{count} {one if count == 1 else many}"
        for many, one in ADDED.items()
        if (count := taken.added[many])
    )
    return written_told(files, taken.part_name + (f", with {added}" if added else ""))
