"""A page for players who do not use a terminal: one passage, all there is to know of it.

Needs no network and carries no script of a stranger. Begin with `handout`.
"""
