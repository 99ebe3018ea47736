"""The commands, one a file (`*_command.py`), thin.

Never knows the app, but for `open_command`. Begin with `main`.
"""
