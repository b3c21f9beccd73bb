"""Marking that comes true on cloth: choosing the way, and the sheets for it."""

from quiltpath.marking.paper_files import PaperFile, paper_outputs

__all__ = ["PaperFile", "paper_outputs"]
