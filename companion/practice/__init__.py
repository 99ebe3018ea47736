"""What a player does with a passage: attempts, goals, mastery, the plan for a day.

Pure: no files and no clock of its own. Begin with `attempt`.
"""
