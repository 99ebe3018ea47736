"""What screens are put together from.

A widget draws what it is given. Begin with `score_map`.
"""
