"""The full-screen app."""
