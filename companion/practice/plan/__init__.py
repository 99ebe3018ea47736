"""What today is for: choosing, ordering and changing a day's practice.

Never reads the log itself. Begin with `planner`.
"""
