"""Fresh reading exercises, composed by rule and by seed."""
