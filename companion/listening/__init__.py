"""From a recorded take to when each note of the page began.

Never opens a microphone and never judges: it says what was heard and what cannot be told.
Begin with `hearing.py`.
"""
