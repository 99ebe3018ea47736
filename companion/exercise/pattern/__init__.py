"""Patterns in the short notation, and the scores made of them.

Never accepts a bar that does not add up. Begin with `pattern`.
"""
