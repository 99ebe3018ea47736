"""The written score, the shared clock, bar numbers and the order of playing.

Never judges what it reads; `findings/` does. Begin with `model`, then `laying`.
"""
