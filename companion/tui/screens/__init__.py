"""One module and one style sheet a screen.

A screen handles its own keys and knows no other face. Begin with `map_screen`.
"""
