"""An exercise and its scores in one file that can be sent."""
