"""How the others sound to this player, kept from one drill to the next.

Her tuning, her SoundFont and plucked or bowed are hers whatever she practises; who plays
along and which drone are the passage's. What was kept never keeps anybody from
practising: a damaged file, or a SoundFont that has gone, counts as none.
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from companion.click.timbres import ToneName
from companion.click.tuning import A
from companion.desk.folders import Folders
from companion.desk.kept_files import keep, kept
from companion.desk.play_along import Company
from companion.errors import RequestError


class _Sounding(msgspec.Struct):
    tone: ToneName = ToneName.BOWED
    a: float = A
    font: str | None = None


def usual_company(folders: Folders) -> Company:
    """Nobody yet, sounding as they last did."""
    try:
        found = msgspec.json.decode(kept(_place(folders)) or b"{}", type=_Sounding)
        font = Path(found.font) if found.font else None
        return Company(tone=found.tone, a=found.a, font=font if font and font.is_file() else None)
    except (msgspec.MsgspecError, RequestError, ValueError, OSError):
        return Company()


def keep_sounding(folders: Folders, company: Company) -> None:
    """Keep how they sound. Raises CompanionError where it cannot be written."""
    font = str(company.font.absolute()) if company.font is not None else None
    found = _Sounding(company.tone, company.a, font)
    keep(_place(folders), msgspec.json.format(msgspec.json.encode(found), indent=1))


def _place(folders: Folders) -> Path:
    return folders.data / "others.json"
