"""How well takes are heard, take by take, beside two general ways that do not know the page.

    python -m tests.bench.listening_table            # pieces that nothing was set on
    python -m tests.bench.listening_table developed  # pieces on which the constants were set

F-measure, ±50 ms, one to one (mir_eval), after a constant offset is removed: for each method
the one that suits it best. The general ways are plain spectral flux and the same with a
maximum filter over neighbouring bands (Böck & Widmer, DAFx-13; parameters as in a library's
example "directly from the paper"), each with the threshold that suits this take best.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from statistics import mean
from time import process_time

import numpy as np
from mir_eval.onset import f_measure

from companion.listening.due_notes import OFF_THE_BEAT
from companion.listening.due_times import due_in
from companion.listening.hearing import HeardTake, hear
from companion.listening.judgement import JudgedSide, judgement
from companion.listening.take import Take as Recording
from tests.listening.performing import RATE, Wave
from tests.listening.takes import DEVELOPED, SCORED, Take


def tell(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def truth(take: Take) -> Wave:
    """Seconds at which something audibly began."""
    due = take.due
    return np.array([p.at for p in take.played if p.due is None or due[p.due].is_audible])


def flux(sound: Wave, neighbours: int) -> Wave:
    """Onset strength, 200 frames a second: 138 bands from 27.5 Hz to 16 kHz, lag 2."""
    size, hop = 2048 if neighbours == 1 else 1024, RATE / 200
    starts = np.rint(np.arange(int(len(sound) / hop)) * hop).astype(int)
    padded = np.pad(sound, (size // 2, size))
    spectra = np.abs(np.fft.rfft(padded[starts[:, None] + np.arange(size)] * np.hanning(size)))
    edges = np.geomspace(27.5, 16000, 140)
    at = np.arange(spectra.shape[1]) * RATE / size
    bands = np.stack(
        [
            np.clip(1 - np.abs(at - centre) / max(high - centre, at[1]), 0, 1)
            for centre, high in zip(edges[1:-1], edges[2:], strict=True)
        ]
    )
    line = np.log10(1 + spectra @ bands.T)
    before = np.pad(line, ((2, 0), (0, 0)))[: len(line)]
    widest = before
    for by in range(1, neighbours // 2 + 1):
        widest = np.maximum(widest, np.maximum(np.roll(before, by, 1), np.roll(before, -by, 1)))
    grown: Wave = np.maximum(line - widest, 0).sum(axis=1)
    return grown


def peaks(line: Wave, threshold: float) -> Wave:
    """Local maxima (30 ms) that stand out over the mean of 100 ms by a share of the largest."""
    around = np.lib.stride_tricks.sliding_window_view(np.pad(line, 6, mode="edge"), 13)
    usual = np.convolve(line, np.ones(41) / 41, "same")
    is_peak = (line == around.max(axis=1)) & (line > usual + threshold * np.percentile(line, 99))
    found = np.flatnonzero(is_peak) / 200
    return found[np.append(True, np.diff(found) > 0.03)] if len(found) else found


def best_f(played: Wave, heard: Wave) -> float:
    """With the constant offset that suits best."""
    offsets = np.arange(-0.06, 0.0801, 0.01)
    return max(float(f_measure(played, heard - by, window=0.05)[0]) for by in offsets)


def general(sound: Wave, played: Wave, neighbours: int) -> float:
    line = flux(sound, neighbours)
    return max(best_f(played, peaks(line, share)) for share in (0.05, 0.1, 0.15, 0.2, 0.3, 0.4))


def row(take: Take) -> tuple[float, float, float, float]:
    """Print one take; F of the three ways, and seconds a minute of it took."""
    sound, played = take.sound, truth(take)
    begin = process_time()
    heard = hear(Recording(sound, RATE), take.due, take.click if take.click_db else None)
    seconds = (process_time() - begin) / (len(sound) / RATE) * 60
    began = [note.begun_s for note in heard.notes if note.begun_s is not None]
    f = best_f(played, np.array(sorted([*began, *heard.added])))
    others = general(sound, played, 1), general(sound, played, 3)
    faults, late = faults_told(take, heard), lateness_told(take, heard)
    tell(f"{take.name:58s} {f:.3f} {others[0]:.3f} {others[1]:.3f}  {faults}  {late}")
    return f, *others, seconds


def faults_told(take: Take, heard: HeardTake) -> str:
    left_out = [n for n, note in enumerate(heard.notes) if note.begun_s is None]
    wrongly = [n for n in left_out if take.due[n].is_audible and n not in take.dropped]
    stray = [played.at for played in take.played if played.due is None]
    found = [at for at in heard.added if any(abs(at - one) < 0.07 for one in stray)]
    return (
        f"missed {len({*left_out} & {*take.dropped})}/{take.drops} wrongly {len(wrongly)}"
        f"  added {len(found)}/{len(stray)} wrongly {len(heard.added) - len(found)}"
    )


def lateness_told(take: Take, heard: HeardTake) -> str:
    """The error, in ms, of the lateness that the player reads, against the same judgement of what
    was really played; and that of the mean of all notes, clear or not."""
    if not take.late:
        return ""
    if all(note.side != OFF_THE_BEAT for note in take.due):
        return "no notes off the beat"
    mean_error = f"(mean of all {1000 * lateness_error(take, heard):+.1f})"
    off, played = (off_the_beat(take, one) for one in (heard, as_played(take, heard)))
    if off is None or played is None or not off.is_told:
        return f"lateness cannot tell {mean_error}"
    called = "late" if off.is_off else "not late"
    return f"lateness {1000 * (off.late - played.late):+.1f} ms, called {called} {mean_error}"


def as_played(take: Take, heard: HeardTake) -> HeardTake:
    """The same take, if every note had been heard when it was played."""
    when = {played.due: played.at for played in take.played}
    notes = (
        replace(one, begun_s=when.get(n), is_certain=one.note.is_audible)
        for n, one in enumerate(heard.notes)
    )
    return replace(heard, notes=tuple(notes))


def off_the_beat(take: Take, heard: HeardTake) -> JudgedSide | None:
    sides = judgement(heard, due_in(take.passage, take.click)).sides
    return next((side for side in sides if side.name == OFF_THE_BEAT), None)


def lateness_error(take: Take, heard: HeardTake) -> float:
    """Seconds by which off the beat against on the beat is heard later than it was played."""
    when = {played.due: played.at for played in take.played}
    errors: dict[str, list[float]] = {"on the beat": [], "off the beat": []}
    for n, note in enumerate(heard.notes):
        if note.begun_s is not None and n in when:
            errors[note.note.side].append(note.begun_s - when[n])
    if not all(errors.values()):
        return float("nan")
    return mean(errors["off the beat"]) - mean(errors["on the beat"])


def main() -> None:
    takes = DEVELOPED if "developed" in sys.argv else SCORED
    tell("take, then F: knowing the page, spectral flux, with maximum filter")
    rows = [(take.manner, row(take)) for take in takes]
    for manner in ("plucked", "bowed", "slurred"):
        scores = np.array([scores for of, scores in rows if of == manner])
        means, least = scores.mean(axis=0).round(3), scores.min(axis=0).round(3)
        tell(f"{manner:8s} mean {means[:3]} least {least[:3]}; {means[3]} s for a minute")


if __name__ == "__main__":
    main()
