"""What today is for: choosing, ordering and changing a day's practice."""
