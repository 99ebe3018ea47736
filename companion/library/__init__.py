"""The index of a folder of scores: read once, searched at once.

Never opens a score for practice. Begin with `index`.
"""
