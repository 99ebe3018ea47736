"""Small scores as MusicXML for tests, said in a line a part.

    page(Violin="6/8 A4q. A4e B4e C5e | R", Cello="2/4 G2q G2q | G2h")

A bar may begin with a meter (`6/8`), then come notes (`A4q.`, `Bb3e`, triplet `F#5e3`,
tied on `A4h~`, tied from before `~A4h`, grace `gA4e`), rests (`rq`), a rest for the whole
bar (`R`) and things in brackets: `[reh B]`, `[words Allegro]`, `[bold Trio]`,
`[below dolce]`, `[metro q. 80]`, `[same q. q]`, `[sound 120]`, `[segno]`, `[fine]`,
`[dc]`, `[key -2]`, `[clef F 4]`, `[transpose -1 -2]`, `[start]` and `[back]` for repeats,
`[first]`, `[endfirst]` for an ending, `[double]` for a double barline.
"""

from __future__ import annotations

import re
from fractions import Fraction

from companion.rhythm.meter import parse

_VALUES = {name: Fraction(4, 2**power) for power, name in enumerate("whqest")}
_TYPES = dict(zip("whqest", ("whole", "half", "quarter", "eighth", "16th", "32nd"), strict=True))
_NOTE = re.compile(r"(~?)(g?)(?:([A-G])(#|b)?(\d)|r)([whqest])(\.?)(3?)(~?)")
_TOKEN = re.compile(r"\[[^\]]*\]|\S+")


def page(divisions: int = 24, version: str = "3.1", head: str = "", **parts: str) -> bytes:
    """A score-partwise document; `head` goes before the part-list."""
    listed = "".join(_entry(number, name) for number, name in enumerate(parts, 1))
    music = "".join(
        f'<part id="P{number}">{_measures(text, divisions)}</part>'
        for number, text in enumerate(parts.values(), 1)
    )
    return (
        f'<score-partwise version="{version}">{head}'
        f"<part-list>{listed}</part-list>{music}</score-partwise>"
    ).encode()


def timewise(musicxml: bytes) -> bytes:
    """The same score with the parts inside the measures."""
    from lxml import etree

    root = etree.fromstring(musicxml)
    turned = etree.Element("score-timewise", {str(k): str(v) for k, v in root.attrib.items()})
    parts = root.findall("part")
    turned.extend(child for child in list(root) if child.tag != "part")
    for measures in zip(*parts, strict=True):
        head = etree.SubElement(
            turned, "measure", {str(k): str(v) for k, v in measures[0].attrib.items()}
        )
        for part, measure in zip(parts, measures, strict=True):
            etree.SubElement(head, "part", {"id": str(part.get("id"))}).extend(list(measure))
    return etree.tostring(turned)


def _entry(number: int, name: str) -> str:
    return (
        f'<score-part id="P{number}"><part-name>{name.replace("_", " ")}</part-name>'
        f"<part-abbreviation>{name[:3]}.</part-abbreviation></score-part>"
    )


def _measures(text: str, divisions: int) -> str:
    made = []
    meter = Fraction(4)
    for number, bar in enumerate(text.split("|"), 1):
        tokens = _TOKEN.findall(bar)
        attributes = f"<divisions>{divisions}</divisions>" if number == 1 else ""
        tokens, attributes, meter = _attributes(tokens, attributes, meter)
        body = "".join(_thing(token, divisions, meter) for token in tokens)
        left = _line(
            "left",
            tokens,
            {
                "[start]": '<repeat direction="forward"/>',
                "[first]": '<ending number="1" type="start"/>',
            },
        )
        right = _line(
            "right",
            tokens,
            {
                "[double]": "<bar-style>light-light</bar-style>",
                "[endfirst]": '<ending number="1" type="stop"/>',
                "[back]": '<repeat direction="backward"/>',
            },
        )
        if attributes:
            attributes = f"<attributes>{attributes}</attributes>"
        made.append(f'<measure number="{number}">{left}{attributes}{body}{right}</measure>')
    return "".join(made)


def _line(location: str, tokens: list[str], meanings: dict[str, str]) -> str:
    found = "".join(text for token, text in meanings.items() if token in tokens)
    return f'<barline location="{location}">{found}</barline>' if found else ""


def _attributes(
    tokens: list[str], attributes: str, meter: Fraction
) -> tuple[list[str], str, Fraction]:
    key = time = clef = transpose = ""
    rest = []
    for token in tokens:
        words = token.strip("[]").split()
        if re.fullmatch(r"\d+/\d+", token):
            top, bottom = token.split("/")
            time = f"<time><beats>{top}</beats><beat-type>{bottom}</beat-type></time>"
            meter = parse(token).length
        elif words[0] == "key":
            key = f"<key><fifths>{words[1]}</fifths></key>"
        elif words[0] == "clef":
            clef = f"<clef><sign>{words[1]}</sign><line>{words[2]}</line></clef>"
        elif words[0] == "transpose":
            transpose = (
                f"<transpose><diatonic>{words[1]}</diatonic>"
                f"<chromatic>{words[2]}</chromatic></transpose>"
            )
        else:
            rest.append(token)
    return rest, attributes + key + time + clef + transpose, meter


def _thing(token: str, divisions: int, meter: Fraction) -> str:
    if token == "R":
        length = meter * divisions
        return f'<note><rest measure="yes"/><duration>{length}</duration><voice>1</voice></note>'
    if token.startswith("["):
        return _direction(*token.strip("[]").partition(" ")[::2])
    return _note(token, divisions)


def _direction(kind: str, text: str) -> str:
    printed = {
        "reh": f"<rehearsal>{text}</rehearsal>",
        "words": f"<words>{text}</words>",
        "bold": f'<words font-weight="bold">{text}</words>',
        "below": f"<words>{text}</words>",
        "segno": "<segno/>",
        "fine": "<words>Fine</words>",
        "dc": "<words>D.C. al Fine</words>",
    }
    if kind == "sound":
        return f'<sound tempo="{text}"/>'
    if kind in ("metro", "same"):
        printed[kind] = f"<metronome>{_metronome(kind, *text.split())}</metronome>"
    if kind not in printed:
        return ""
    act = {"segno": '<sound segno="1"/>', "fine": '<sound fine="yes"/>'}.get(kind, "")
    act = '<sound dacapo="yes"/>' if kind == "dc" else act
    placement = "below" if kind == "below" else "above"
    return (
        f'<direction placement="{placement}"><direction-type>{printed[kind]}</direction-type>'
        f"{act}</direction>"
    )


def _metronome(kind: str, left: str, right: str) -> str:
    if kind == "same":
        return _beat(left) + _beat(right)
    return f"{_beat(left)}<per-minute>{right}</per-minute>"


def _beat(text: str) -> str:
    dots = "<beat-unit-dot/>" * text.count(".")
    return f"<beat-unit>{_TYPES[text[0]]}</beat-unit>{dots}"


def _note(token: str, divisions: int) -> str:
    match = _NOTE.fullmatch(token)
    assert match is not None, token
    stop, grace, step, sign, octave, value, dot, triplet, start = match.groups()
    length = _VALUES[value] * (Fraction(3, 2) if dot else 1) * (Fraction(2, 3) if triplet else 1)
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(sign or "", "")
    what = f"<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
    ties = ("<tie type='stop'/>" if stop else "") + ("<tie type='start'/>" if start else "")
    tied = ties.replace("<tie ", "<tied ")
    ratio = "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>" if triplet else ""
    duration = length * divisions
    assert duration.denominator == 1, token
    return (
        f"<note>{'<grace/>' if grace else ''}{what if step else '<rest/>'}"
        f"{'' if grace else f'<duration>{duration}</duration>'}{ties}<voice>1</voice>"
        f"<type>{_TYPES[value]}</type>{'<dot/>' if dot else ''}"
        f"{f'<time-modification>{ratio}</time-modification>' if ratio else ''}"
        f"{f'<notations>{tied}</notations>' if tied else ''}</note>"
    )
