"""What every package needs of the disk: whole files, small stores, folders, containers, children.

Never knows what the files mean. Begin with `whole_file`.
"""
