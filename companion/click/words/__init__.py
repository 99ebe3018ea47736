"""What a player types to ask for a click: layers, silences, tempo plans.

Never plans and never sounds anything. Begin with `layer_words`.
"""
