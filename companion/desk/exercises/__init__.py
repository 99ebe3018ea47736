"""Exercises as both faces use them: write, check, pack, open, and how far they are."""
