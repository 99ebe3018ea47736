"""The order in which the bars of a score are played: repeats, endings, jumps.

Never leaves a bar out unsaid. Begin with `order`.
"""
