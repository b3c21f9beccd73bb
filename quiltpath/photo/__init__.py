"""From a photo of a printed panel to measured shapes, and from a later photo to what was sewn.

Nothing here knows a project: picture arrays come in, frozen values in mm go out. The heavy library
behind it is an optional extra (``pip install quiltpath[photo]``).
"""
