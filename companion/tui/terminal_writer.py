"""What is sent to the terminal, by a thread that can be given up.

A window that is closed, or a connection that hangs, takes no more bytes. The toolkit's own
writer then waits for ever, and the app with it: no key, no signal and no end would come through.
"""

from __future__ import annotations

import os
from contextlib import suppress
from queue import Empty, Full

from textual.drivers._writer_thread import WriterThread

from companion.tui.ending import ending

PATIENCE = 1.0
"""Seconds after which a terminal that took nothing is given up, once the app is to end."""
_AT_ONCE = 4096
"""Bytes; as much as a terminal takes before it is read."""


class TerminalWriter(WriterThread):
    """The toolkit's writer; what nobody takes is thrown away once the app is to end."""

    _given_up = False
    _sent = 0

    def write(self, text: str) -> None:
        """Queue what is to be sent; wait while the terminal is behind."""
        while not self._given_up:
            told = ending.is_set()
            try:
                self._queue.put(text, timeout=PATIENCE)
            except Full:
                self._given_up = told or not self.is_alive()
            else:
                return

    def run(self) -> None:
        """Send until the end, or until the terminal is gone.

        Past the file's own buffer: a write that never ends would hold its lock, and the end of
        the program wait for that.
        """
        with suppress(OSError):
            ended = False
            while not ended:
                waiting = [self._queue.get()]
                with suppress(Empty):
                    while waiting[-1] is not None:
                        waiting.append(self._queue.get_nowait())
                ended = waiting[-1] is None
                text = "".join(filter(None, waiting))
                data = text.encode(getattr(self._file, "encoding", "utf-8"), "replace")
                for start in range(0, len(data), _AT_ONCE):
                    self._send(data[start : start + _AT_ONCE])

    def _send(self, data: bytes) -> None:
        while data:
            sent = os.write(self._file.fileno(), data)
            self._sent += sent
            data = data[sent:]

    def stop(self) -> None:
        """Wait until all is sent, or until the terminal took nothing for so long."""
        with suppress(Full):
            self._queue.put(None, timeout=PATIENCE)
        before = -1
        while self.is_alive() and before != (before := self._sent):
            self.join(PATIENCE)
        self._given_up = True
