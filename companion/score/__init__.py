"""A score on one shared clock: readers in, part extraction out."""
