"""Exercises with their score open: found, checked, opened, drilled, written.

Never judges an exercise by itself; `companion.exercise` does. Begin with `open_exercise`.
"""
