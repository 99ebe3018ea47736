"""What became of the practice: looked up, drawn for a terminal, drawn for paper."""
