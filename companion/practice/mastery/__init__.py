"""Where a passage stands, what moves it up and down, and when it should return.

Pure: reads attempts, never the log itself. Begin with `states`.
"""
