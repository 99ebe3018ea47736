"""One player's part out of its source: cues, long rests, marks, by surgery on the source's XML.

Never changes the player's own notes and never decides where a file goes.
Begin with `extraction`.
"""
