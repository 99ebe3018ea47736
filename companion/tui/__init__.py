"""The full-screen app, thin: screens, their widgets and their colours.

Never computes what another face would need too. Begin with `app`.
"""
