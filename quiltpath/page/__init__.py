"""The live page: a designer changes figures in the browser, the same code answers at once."""
