"""The notes of the demo quartet: six short sections, each with its own way of sharing time.

Four friends cross a river on a ferry that hauls itself along a chain. They cast off in 6/8;
the chain clicks between viola and cello while the violins pull in 2/4; in midstream all dance
in 2/4; a cross-current sets the viola's three against the others' two; slack water rests in
3/4; and the far bank looks like the near one. The notation is explained in `notation`.
"""

from __future__ import annotations

from assets.demo.notation import Section, bars_of

UPBEAT = Section(
    letter="",
    quarters_a_minute="103.5",
    meters=("6/8", "6/8", "6/8", "6/8"),
    voices=('"Easily,_with_the_sway_of_the_boat" q.=69 p A4e^', "Re", "Re", "Re"),
    upbeat=6,
)

CASTING_OFF = Section(
    letter="A",
    quarters_a_minute="",
    meters=("6/8", "6/8", "6/8", "6/8"),
    voices=(
        # The tune: a sixth up and a slow way down, then each bar a step lower.
        """
        F#5q. (F#5e E5e D5e) | E5q. (C#5q A4e) | < D5q. (D5e C#5e B4e) | = C#5q. > A4q. |
        = pp (D5q. E5q.) | < A5q. = G5q.~ | > G5q. (E5q G5e) | = F#5q.~ F#5q Re |
        Rq. Rq mp A4e^ | E5q. < (E5e D5e C#5e) | D5q. (F#5q B5e) | = f G#5q.- A5q.-
        """,
        """
        p A4h.~ | (A4q. G4q.) | F#4h.~ | (F#4q. E4q.) |
        pp B4h. | D5q. (D5q B4e) | A4h. | A4q. p (A4e G4e F#4e) |
        (D4e A4e D5e) (A4e D5e F#4e) | (E4e A4e C#5e) < (A4e E4e G4e) |
        F#4q. (D5q B4e) | = f D5q.- C#5q.-
        """,
        """
        p (A3e D4e F#4e) (D4e A3e F#3e) | (A3e C#4e E4e) (A3e E4e A3e) |
        (F#3e B3e D4e) (D4e B3e F#3e) | (F#3e A3e C#4e) C#4q "the_tune" mp A3e^ |
        G4q. (G4e F#4e E4e) | < (F#4q D4e) (B3q D4e) | = > (C#4q E4e) (A3q C#4e) |
        = D4h. | p A3h.~ | A3q. < A3q. | A3q. D4q. | = f E4q.- E4q.-
        """,
        """
        p D3q. (A2q D3e) | C#3q. (A2q C#3e) | B2q. (F#3q B2e) | A2q. (A2q F#2e) |
        pp (G2e D3e B3e) (E2e B2e G3e) | (F#2e A2e D3e) (G2e D3e G3e) |
        (A2e E3e A3e) (A2e E3e A3e) | D3q. Rq "the_tune" mf A2e^ |
        F#3q. (F#3e E3e D3e) | E3q. < (C#3q A2e) | (D3q C#3e) B2q. | = f E3q.- A2q.-
        """,
    ),
)

THE_CHAIN = Section(
    letter="B",
    quarters_a_minute="",
    meters=("2/4", "2/4", "6/8", "6/8"),
    voices=(
        """
        "The_chain:_lightly" q.=q p F#5q (E5e D5e) | A5q F#5q | G5q? (F#5e E5e) | E5q C#5q |
        mp F#5q (D5e B4e) | E5q (C#5e A4e) | < (D5e F#5e) (A5e F#5e) | G#5q- (B5e G#5e)
        """,
        """
        q.=q p (A4e F#4e) A4q | (D5e A4e) (D5e A4e) | (B4e D5e) B4q | (C#5e A4e) (E4e A4e) |
        mp (D5e B4e) F#4q | (C#5e A4e) E4q | < (A4q D5q) | D5q- B4q-
        """,
        # The chain: the cello's eighths and the viola's fill each other's rests.
        """
        "link_by_link_with_the_cello" p Re F#3e' Re Re A3e' D4e' | Re A3e' Re D4e' Re A3e' |
        Re D4e' Re Re B3e' G3e' | Re E4e' Re C#4e' Re A3e' |
        mp Re B3e' Re Re D4e' B3e' | Re E4e' Re A3e' Re A3e' |
        < F#4q. (F#4e E4e D4e) | E4q. (E4e D4e B3e)
        """,
        """
        "link_by_link_with_the_viola" p D2e' Re A2e' D3e' Re Re | F#2e' Re A2e' Re D3e' Re |
        G2e' Re B2e' D3e' Re Re | A2e' Re C#3e' Re E3e' Re |
        mp B2e' Re D3e' F#3e' Re Re | C#3e' Re A2e' Re C#3e' Re |
        < D3q. D3q A2e | E3q B2e E2q E3e
        """,
    ),
)

MIDSTREAM = Section(
    letter="C",
    quarters_a_minute="69",
    meters=("2/4", "2/4", "2/4", "2/4"),
    voices=(
        """
        "Midstream:_dancing" = f A5e' E5e' (C#5s D5s E5e) | (F#5e E5e) C#5q- |
        D5e' B4e' (G#4s A4s B4e) | C#5q- (B4e D5e) | mp C#5h | (D5q E5q) |
        < D5e' F#5e' (B4s C#5s D5e) | C#5q- (E5t A5t G5t?)
        """,
        """
        = f C#5e' C#5e' A4q- | (D5e C#5e) E4q- | G#4e' G#4e' E4q- | E4q- G#4q- |
        p Re A4e' Re A4e' | Re A4e' Re A4e' | < F#4e' F#4e' G4q-? | E4q- (E4e A4e)
        """,
        """
        q.=q = f Re E4e' Re E4e' | Re E4e' Re A3e' | Re D4e' Re D4e' | A3q- (E4t F#4t G#4t) |
        mf A4e' E4e' (C#4s D4s E4e) | (F#4e E4e) C#4q- | < D4e' D4e' D4q- | A3q- C#4q-
        """,
        """
        q.=q = f A2e' Re E3e' Re | D3e' Re A2e' Re | E3e' Re B2e' Re | A2e' Re B2e' Re |
        p A2e' Re E3e' Re | D3e' Re A2e' Re | < B2e' Re G2e' Re | A2q- A2q-
        """,
    ),
)

CROSS_CURRENT = Section(
    letter="D",
    quarters_a_minute="103.5",
    meters=("6/8", "6/8", "3/4", "6/8"),
    voices=(
        """
        "Cross-current" q=q. = mp (F#5e E5e D5e) (A5e G5e F#5e) |
        (F#5e E5e D5e) (B5e A5e F#5e) | < (B5e A5e G5e) = f (D6e C#6e B5e) |
        > (G5e F#5e E5e) (B5e A5e G5e) | (E5e D5e C#5e) (G5e F#5e E5e) | = p (C#5q. A#4q.)
        """,
        """
        = p (A3q D4e) (D4q A3e) | (D4q B3e) D4q. | < (B3q D4e) = mf (B3q G3e) |
        > (B3q E4e) (E4q B3e) | (G3q B3e) (G3q B3e) | = p C#4h.
        """,
        """
        "in_three:_your_eighths_are_theirs" h=h. = f (D4q F#4q A4q) | (B4h F#4q) |
        < (G4q B4q = D5q) | > (B4h G4q) | (B4q G4q E4q) | = p (F#4h E4q)
        """,
        """
        = mp D3q. (D3q C#3e) | B2q. (B2q A2e) | < G2q. = mf (G2q F#2e) |
        > E2q. (E2q D2e) | C#2q. C#2q. | = p F#2h.
        """,
    ),
)

SLACK_WATER = Section(
    letter="E",
    quarters_a_minute="76",
    meters=("3/4", "3/4", "3/4", "3/4"),
    voices=(
        """
        "Slack_water:_slower,_quite_still" q=76 R* | R* | R* | R* |
        pp (B4q D5q F#5q) | < (B5h = A5q) | > (G5q F#5q E5q) | = (D5h C#5q) |
        p (B4h D5q) | < (G5h E5q) | = mp > (E5h D5q) | "poco_rit." = C#5h Re p A4e^
        """,
        """
        "pizz." p Rq F#4q D4q | Rq G4q F#4q | Rq D4q G4q | Rq C#4q Rq |
        "arco" pp D4h.~ | D4h. | B3h.~ | (B3h A#3q) |
        p (B3h G4q) | < B4h. | = mp > A4h.~ | = A4h.
        """,
        """
        "pizz." p Rq B3q B3q | G3q D4q D4q | Rq B3q B3q | Rq A#3q Rq |
        "arco" pp F#3h. | (G3h F#3q) | (E3h G3q) | (F#3h E3q) |
        p (D3h E3q) | < G3h. | = mp > E4h. | = (A3e C#4e) (E4e C#4e) A3q
        """,
        """
        "arco,_singing" mp (B2q D3q F#3q) | < (B3h = A3q) | > (G3q F#3q E3q) | = F#3h Rq |
        "pizz." pp B2q F#3q B2q | G2q Rq D3q | E2q Rq C#3q | F#2q Rq F#2q |
        Rq "arco" p G2h | < E2h. | = mp > A2h.~ | = A2h.
        """,
    ),
)

OTHER_BANK_CLOSE = (
    """
    pp A5h. | G5q. (G5e F#5e E5e) | (D5q. E5q.) | > (F#5q. E5q.) | = D5q. Rq pp A4e^ |
    F#5h.@
    """,
    """
    pp D5h.~ | D5h. | Bb4h. | > (A4q. G4q.) | = F#4q. (F#4e E4e D4e) | pp D4h.@
    """,
    """
    p (A3e D4e A3e) (D4e F#4e A3e) | (B3e D4e G4e) (D4e B3e D4e) |
    pp (G3e D4e G4e) (G4e D4e Bb3e) | > (D4q. C#4q.) | = (D4q. A3q.) | pp A3h.@
    """,
    """
    F#3q. (F#3e E3e D3e) | > B2q. (B2e A2e G2e) | = pp G2h. | > A2h. | = (D3q A2e) D2q. |
    pp D2h.@
    """,
)


def return_with_close(opening: Section, bars: int, close: tuple[str, str, str, str]) -> Section:
    """The first `bars` bars of the opening, note for note, then the close."""
    top, second, third, fourth = (
        " | ".join([*bars_of(voice)[:bars], ending])
        for voice, ending in zip(opening.voices, close, strict=True)
    )
    return Section(
        letter="F",
        quarters_a_minute="103.5",
        meters=opening.meters,
        voices=(f'"The_other_bank:_as_at_first" q.=69 {top}', second, third, fourth),
    )


SECTIONS = (
    UPBEAT,
    CASTING_OFF,
    THE_CHAIN,
    MIDSTREAM,
    CROSS_CURRENT,
    SLACK_WATER,
    return_with_close(CASTING_OFF, 8, OTHER_BANK_CLOSE),
)
