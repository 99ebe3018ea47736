"""Pure arithmetic: meter, division, tempo, tempo relation, counting.

Never sees a score, a file or a clock. Begin with `meter`.
"""
