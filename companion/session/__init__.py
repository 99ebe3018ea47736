"""An open score with its player's choices, and the drill: transport, settings, tally.

Never draws and never makes a sentence; both faces use it. Begin with `open_score`, then `drill`.
"""
