"""The sound card, or the silence that stands in for it."""
