"""From a plan to samples: struck sounds, tones, the other players, a SoundFont.

Never decides when something sounds; the plan does. Begin with `render`.
"""
