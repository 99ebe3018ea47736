"""The exercise file: its keys, its form, reading and writing it.

Never stops at the first fault. Begin with `exercise_schema`, then `exercise_file`.
"""
