"""The order in which the bars of a score are played."""
