"""Fresh reading exercises, composed by rule and by seed.

Never uses chance that differs from one machine to another. Begin with `compose`.
"""
