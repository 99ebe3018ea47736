"""One player's part taken out of a score, by surgery on the source's own XML."""
