"""From a passage to a click: strokes in time, words typed, samples, files.

Never opens a sound card. Begin with `plan/plan.py`.
"""
