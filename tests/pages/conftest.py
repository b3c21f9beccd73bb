"""The browser of the page tests."""

from tests.browser import browser, watched

__all__ = ["browser", "watched"]
