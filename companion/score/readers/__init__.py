"""One reader a format, all filling the same model.

Never trusts a file. Begin with `opening`: a file in, the written score out.
"""
