"""One reader a format, all filling the same model."""
