"""quiltpath: quilting paths, marking guides, machine files and cutting plans for a runner."""

__version__ = "0.1.0"
