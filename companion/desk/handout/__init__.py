"""A page for players who do not use a terminal: one passage, all there is to know of it."""
