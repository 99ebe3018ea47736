"""The score explained to one player: what pulls against me, with whom, and why."""
