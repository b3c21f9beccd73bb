"""Paper: marking that comes true on cloth."""

from quiltpath.output.paper.outputs import PaperFile, paper_outputs

__all__ = ["PaperFile", "paper_outputs"]
