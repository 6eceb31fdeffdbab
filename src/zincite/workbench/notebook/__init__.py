"""Acts on the notebook: one function each, which opens it, does one thing and says what it did.

Every act takes the notebook by file name or URL, or one that is open already. Import an act from
its module, so that a command loads no more than it needs.
"""
