"""MIDI on paper: a backend for mido whose ports write down what they are sent.

mido finds a backend by the name of its module and takes from it `get_devices` and `Output`
(mido documentation, "Writing a New or Custom Backend").
"""

from __future__ import annotations

from typing import Any

from mido.ports import BaseOutput

NAME = "Drum module"
BUSY = "Busy module"


class Output(BaseOutput):  # type: ignore[misc]
    """A port that remembers its messages."""

    opened: list[Output] = []

    def _open(self, **_: Any) -> None:  # noqa: ANN401
        if self.name == BUSY:
            raise OSError("the port is taken")
        self.sent: list[Any] = []
        self.is_gone = False
        Output.opened.append(self)

    def _send(self, message: Any) -> None:  # noqa: ANN401
        if self.is_gone:
            raise OSError("the cable was pulled")
        self.sent.append(message)

    def told(self) -> list[str]:
        """What was sent, in words such as `note_on 76`, `clock`."""
        return [
            f"{m.type} {m.note}" if m.type.startswith("note") else str(m.type) for m in self.sent
        ]


def get_devices(**_: Any) -> list[dict[str, object]]:  # noqa: ANN401
    return [{"name": name, "is_input": False, "is_output": True} for name in (NAME, BUSY)]
