"""A practice companion for chamber players: every part of a score on one shared clock."""
