"""From a passage to strokes in time, exactly.

Never makes samples and never reads words. Begin with `plan`: a `ClickPlan` is the whole click.
"""
