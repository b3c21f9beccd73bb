"""[look]: the colours of thread and cloth, for previews and for how lines show."""

from typing import Annotated

from pydantic import StringConstraints

from quiltpath.project.fields import Length, Section

Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9a-fA-F]{6}$")]
"""Six hexadecimal digits after a #, as sRGB (CSS Color, W3C)."""


class LookSection(Section):
    """Colours as #rrggbb; those left out are the preview's own."""

    thread: Colour | None = None
    thread_width: Length = 0.4
    """how wide the stitched thread looks; 0.3 to 0.5 mm is usual for 50 to 40 weight"""
    ground: Colour | None = None
    """sashing, borders and whatever is no block"""
    block: Colour | None = None
    motif: Colour | None = None
