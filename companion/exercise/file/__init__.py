"""The exercise file: its keys, its form, reading and writing it.

Never stops at the first fault. Begin with `exercise`, then `exercise_file`.
"""
