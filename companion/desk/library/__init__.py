"""A folder of scores as a library: indexed once, searched at once."""
