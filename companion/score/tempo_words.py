"""What words about tempo ask for, as far as it can be counted (common practice, no source).

*Tempo I* and *doppio movimento* state a tempo exactly. *Rit.* and *accel.* bend it by nobody
knows how much, and *a tempo* ends that. *Meno mosso* states another tempo without a number.
"""

from __future__ import annotations

import re
from enum import Enum
from functools import lru_cache


class Asks(Enum):
    """What words about tempo ask for."""

    FIRST = "the first tempo again"
    TWICE = "twice as fast"
    BEFORE = "the tempo before the bend"
    SLOWER = "slower and slower"
    FASTER = "faster and faster"
    ANOTHER = "another tempo, without a number"


_WORDS = (
    (Asks.FIRST, re.compile(r"\b(tempo (primo|1(mo|[°º])|i(?![a-zà-ü])))", re.I)),
    (Asks.TWICE, re.compile(r"\bdoppio movimento\b", re.I)),
    (Asks.BEFORE, re.compile(r"\ba tempo\b", re.I)),
    (
        Asks.SLOWER,
        re.compile(r"\b(rit(ard)?(ando)?|rall(entando)?|allarg(ando)?|calando)\b\.?", re.I),
    ),
    (Asks.FASTER, re.compile(r"\b(accel(erando)?|string(endo)?|affrett(ando)?)\b\.?", re.I)),
    (
        Asks.ANOTHER,
        re.compile(r"\b(pi[uù]|meno) (mosso|lento|allegro|presto|vivo|adagio)\b", re.I),
    ),
)


@lru_cache(maxsize=1024)
def asked(text: str) -> Asks | None:
    """What words ask for; None where they say nothing about the tempo."""
    return next((asks for asks, pattern in _WORDS if pattern.search(text)), None)
