"""Pure arithmetic of the beat: meters, divisions, resultants, conflicts. No files, no clocks."""
