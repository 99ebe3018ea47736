"""Exercise files: their form, their patterns, packs, goals and the generator.

Never shows anything. Begin with `file/exercise.py`, then `file/exercise_file.py`.
"""
