"""The browser of the live tests."""

from tests.browser import browser, watched

__all__ = ["browser", "watched"]
