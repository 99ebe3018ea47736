"""One module and one style sheet a screen."""
