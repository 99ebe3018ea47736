"""A part as engraved pages: SVG, PDF, pictures for the terminal.

Only the child process loads the engraving library. Begin with `engrave`.
"""
