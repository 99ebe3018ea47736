"""An open score with its player's choices, and the drill: transport, settings, tally.

Never draws; its sentences are in `wording`, but for errors and notices. Both faces use it.
Begin with `open_score`, then `drill`.
"""
