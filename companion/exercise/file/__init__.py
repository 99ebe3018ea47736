"""The exercise file: its keys, its form, reading and writing it."""
