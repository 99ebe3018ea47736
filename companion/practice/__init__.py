"""What a player does with a passage: drills and how they went."""
