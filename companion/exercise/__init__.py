"""Exercise files: reading, checking, playing, packing, and composing new ones."""
