"""The printed papers: one paper a file, each a function from values to the bytes of a PDF."""
