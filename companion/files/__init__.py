"""What every package needs of the disk: whole-file writes, folders, paths, child processes.

Never knows what the files mean. Begin with `whole_file`.
"""
