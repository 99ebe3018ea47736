"""Every sentence a person reads, made out of the facts the packages below return.

Never computes a fact. Begin with `phrases`: bars, dates, lists, plurals.
"""
