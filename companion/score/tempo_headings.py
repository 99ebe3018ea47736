"""Words a tempo begins with, in the languages of the trade (common practice, no source)."""

from __future__ import annotations

import re

TEMPO_WORD = re.compile(
    r"^\W*(assai |molto |poco |un poco |pi[uù] |meno |sempre |non troppo |quasi |ritmo )*"
    r"(grav(e|issimo)|larg(o|hetto|amente)|lento|lentamente|adagi(o|etto|ssimo)|andant(e|ino)"
    r"|moderato|allegr(o|etto|amente)|viv(o|ace|acissimo)|prest(o|issimo)|maestoso|animato"
    r"|mosso|tempo|a tempo|l.?istesso|listesso|doppio movimento|rit(ard(ando)?|en(uto)?)?"
    r"|rall(entando)?|allarg(ando)?|accel(erando)?|string(endo)?|affrett(ando)?|stretto"
    r"|langsam(er)?|breit|ruhig|m[aä](ß|ss)ig|bewegt(er)?|lebhaft(er)?|rasch(er)?|schnell(er)?"
    r"|lent|mod[eé]r[eé]|anim[eé]|vif|slow(er)?|fast(er)?|quick(er)?)\b",
    re.I,
)
