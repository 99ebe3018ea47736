"""What the screen for taps says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.wording.phrases import counted

if TYPE_CHECKING:
    from companion.listening.taps import Calibration


def taps_told(taps: int | None, beats_left: int | None, measured: Calibration | None) -> list[str]:
    """How it stands; `taps` is None while nothing sounds."""
    if taps is None and measured is None:
        return [
            "■ stopped",
            "Space: 16 plain beats first. Tap each with j, so that it is known how late "
            "taps come on this computer.",
        ]
    if taps is None:
        return ["■ stopped", "Space: the click begins; tap the notes. Space again ends it."]
    if beats_left is not None:
        return ["▶ plain beats: tap each with j", f"{counted(beats_left, 'beat')} left"]
    return [f"▶ tap: {counted(taps, 'tap')}", "Space: stop, and see how it went."]


def keys_told(other: str, instrument: str) -> list[str]:
    """Which key is whose."""
    both = f"f: {other} (theirs)   " if other else ""
    pad = [f"MIDI pad: {instrument}; its lower key is theirs, the others are yours."]
    return [
        f"{both}j: your own notes. One side alone is enough.",
        *(pad if instrument != "keyboard" else []),
        "Tap the keys; do not hold them.",
    ]


def calibration_told(device: str, measured: Calibration | None) -> list[str]:
    """What was measured, and how fine a tap can be told."""
    if measured is None:
        return [f"Not measured yet: {device}."]
    way = "after" if measured.delay > 0 else "before"
    return [
        f"Measured: {device}: {abs(measured.delay) * 1000:.0f} ms {way} the click, spread"
        f" {measured.spread * 1000:.0f} ms (c: again).",
        "A tap is timed to about 2 ms here, 13 ms at worst on a busy computer; the keyboard's own"
        " delay comes on top and is in what was measured.",
    ]
