"""The practice log, on disk before the screen says so."""
