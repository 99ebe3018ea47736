"""From a passage to a plan of strokes, and from the plan to samples and to MIDI."""
