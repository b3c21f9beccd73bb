"""preview.html: one self-contained page with the runner, its thread and its sewing order."""

from quiltpath.output.page.page import preview_page

__all__ = ["preview_page"]
