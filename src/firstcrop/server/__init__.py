"""The page in the browser: a local server over `views`; the sheets stay files in a folder."""
