"""The languages that papers speak: their catalogues against the sentences of the code."""
