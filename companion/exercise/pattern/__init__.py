"""Patterns in the short notation, and the scores made of them."""
