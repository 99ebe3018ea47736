"""What both faces do, one use a file."""
